"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

import uuid
from collections.abc import Callable
from datetime import date
from types import ModuleType
from typing import Any
from unittest.mock import patch

from django.utils import timezone

from charting.notes import amendments_services, cosign_services, later_services
from charting.notes.models import AmendmentRequest, SignedNote
from charting.report.content import fingerprint
from charting.staff.models import User
from tests.charting import recorded


def a_signed_note(visit: Any, by: User, *, needs_cosign: bool = False) -> SignedNote:
    """Of a few words, made without an audit row."""
    known = SignedNote.objects.filter(visit=visit).first()
    content = {"drawing": {"views": []}, "versions": {"figure": ""}}
    about = {"signer_name": str(by), "time_zone": "Europe/Zurich", "needs_cosign": needs_cosign}
    sealed = {"content": content, "content_sha256": fingerprint(content), "signed_at": timezone.now()}
    return known or SignedNote.objects.create(visit=visit, signed_by=by, **about, **sealed)


def a_trainee(visit: Any) -> User:
    known = User.objects.filter(username="learner").first()
    return known or recorded.member(visit.patient.practice, "learner", is_trainee=True)


def write_later(who: User, visit: Any) -> None:
    entry = later_services.Entry("late", "Left out.")
    with patch("charting.notes.kept_papers.pdf.render", lambda content, **how: b"%PDF"):
        note = a_signed_note(visit, who)
        later_services.write_later(who=who, note=note, entry=entry, password=recorded.PASSWORD)


def cosign(who: User, visit: Any) -> None:
    other = type(visit).objects.create(patient=visit.patient, clinician=a_trainee(visit))
    note = a_signed_note(other, other.clinician, needs_cosign=True)
    said = {"read": note.content_sha256, "entries": 0, "words": "", "password": recorded.PASSWORD}
    with patch("charting.notes.kept_papers.pdf.render", lambda content, **how: b"%PDF"):
        cosign_services.cosign(who=who, note=note, **said)


def record_request(who: User, visit: Any) -> None:
    said = {"received_on": date(2026, 3, 1), "asked_by": "Anna Keller", "words": "No Pain."}
    amendments_services.record_request(who=who, patient=visit.patient, id=uuid.uuid4(), **said)


def take_step(who: User, visit: Any) -> None:
    said = {"received_on": date(2026, 3, 1), "asked_by": "Anna Keller", "words": "No Pain."}
    request = AmendmentRequest.objects.create(patient=visit.patient, recorded_by=who, **said)
    step = {"what": "denied", "ground": "accurate", "done_on": date(2026, 3, 20), "words": "Pain."}
    amendments_services.take_step(who=who, request=request, **step)


CHANGES: dict[Callable[..., Any], ModuleType] = {
    write_later: later_services,
    cosign: cosign_services,
    record_request: amendments_services,
    take_step: amendments_services,
}
