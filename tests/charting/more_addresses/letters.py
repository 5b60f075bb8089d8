"""Letters, and papers that were given out."""

from typing import Any

from charting.letters import content
from charting.letters.gathered import gather
from charting.letters.models import Letter
from charting.report.models import IssuedPaper
from charting.visits.models import Visit
from tests.charting.addresses import Address
from tests.charting.more_addresses.insurance import an_episode
from tests.charting.recorded import PASSWORD


def a_letter(visit: Visit) -> Any:
    said = {"patient": visit.patient, "kind": "referrer", "signed_at": None, "discarded_at": None}
    more = {"episode": an_episode(visit), "begun_by": visit.clinician}
    return Letter.objects.get_or_create(**said, defaults=more)[0].pk


def to_begin(visit: Visit) -> dict[str, Any]:
    return {"kind": "referrer", "episode": an_episode(visit).pk}


def to_sign(visit: Visit) -> dict[str, Any]:
    letter = Letter.objects.get(pk=a_letter(visit))
    read = content.fingerprint(content.assemble(gather(visit.clinician, letter.episode), letter))
    return {"password": PASSWORD, "read": read}


def an_issued_paper(visit: Visit) -> Any:
    said = {"patient": visit.patient, "kind": "home", "paper": "a4", "source_sha256": "0" * 64}
    more = {"pdf": b"%PDF", "sha256": "0" * 64, "issued_by": visit.clinician}
    return IssuedPaper.objects.get_or_create(**said, defaults=more)[0].pk


def reads(name: str, **more: Any) -> Address:
    return Address(name, "GET", of="patient", **more)


def writes(name: str, **more: Any) -> Address:
    return Address(name, "POST", of="patient", **more)


ADDRESSES: tuple[Address, ...] = (
    reads("letters"),
    writes("letters", data=to_begin),
    reads("letter", row=a_letter),
    writes("letter", row=a_letter, data=lambda visit: {"version": "1", "own:request": "An image."}),
    reads("letter-sign", row=a_letter),
    writes("letter-sign", row=a_letter, data=to_sign),
    writes("letter-discard", row=a_letter),
    reads("letter-pdf", row=a_letter),
    reads("issued-paper", row=an_issued_paper),
)
