"""Papers a patient takes along: kept as they were printed, so that the same content is the same bytes."""

import hashlib
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import TypeVar

from django.db import IntegrityError, transaction

from charting.audit.services import record
from charting.patients.models import Patient
from charting.patients.queries import of_person
from charting.report.consent_copy import ConsentCopy
from charting.report.content import fingerprint
from charting.report.home_sheet import HomeSheet
from charting.report.models import IssuedPaper
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit

Sheet = TypeVar("Sheet", ConsentCopy, HomeSheet)
LETTERHEAD = ("name", "street", "town", "phone")


@dataclass(frozen=True)
class About:
    """Whose paper it is, of which kind, what the audit trail calls it, and of which visit."""

    patient: Patient
    kind: str
    did: str
    visit: Visit | None = None


def issue(*, who: User, about: About, sheet: Sheet, paper: str, render: Callable[..., bytes]) -> bytes:
    """The paper as it was given out before with this very content, or made now and kept. Raises
    PermissionDenied. The paper is made outside the transaction.
    """
    require(who, "open chart")
    sha256 = source_of(sheet)
    row = _issued(about, sha256, paper)
    made = b"" if row else render(sheet, paper=paper)
    with transaction.atomic():
        row = row or _keep(who, about, sha256, paper, made)
        record(who=who, did=about.did, what=about.visit or about.patient, issued=row.pk)
    return bytes(row.pdf)


def source_of(sheet: ConsentCopy | HomeSheet) -> str:
    """SHA-256 of what is printed: every word of the sheet, and the letterhead."""
    letterhead = {name: getattr(sheet.practice, name) for name in LETTERHEAD}
    return fingerprint({**asdict(sheet), "practice": letterhead})


def _issued(about: About, sha256: str, paper: str) -> IssuedPaper | None:
    same = {"kind": about.kind, "source_sha256": sha256, "paper": paper}
    return IssuedPaper.objects.filter(of_person(about.patient), **same).first()


def _keep(who: User, about: About, sha256: str, paper: str, made: bytes) -> IssuedPaper:
    """Of two that print the same at once, one is kept and both get its bytes."""
    try:
        with transaction.atomic():
            return IssuedPaper.objects.create(
                patient=about.patient,
                visit=about.visit,
                kind=about.kind,
                source_sha256=sha256,
                paper=paper,
                pdf=made,
                sha256=hashlib.sha256(made).hexdigest(),
                issued_by=who,
            )
    except IntegrityError:
        return IssuedPaper.objects.get(
            patient=about.patient, kind=about.kind, source_sha256=sha256, paper=paper
        )
