"""Every write about requests for amendment. Rows are append-only: a further step says what became of one."""

import uuid
from datetime import date
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.notes import amendments
from charting.notes.amendments_queries import Asked, request_of
from charting.notes.models import AmendmentRequest, AmendmentStep
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit

RIGHT = "answer requests"
What = AmendmentStep.What
# What has to be said with each step.
WORDS = {
    What.EXTENDED: "Write the reasons for taking more time, as the patient was told them.",
    What.ACCEPTED: "Write what is changed.",
    What.DENIED: "Write the reasons in plain words, as the patient was told them.",
    What.DISAGREED: "Write what the patient says against it.",
    What.ANSWERED: "Write what the practice answers.",
}


class NotKept(Exception):
    """Why it was not recorded, in words for the page. `field`: the box it is about, "" for all of it."""

    def __init__(self, words: str, field: str = "") -> None:
        super().__init__(words)
        self.field = field


def draft_key(patient: Patient) -> str:
    return f"amendment:{patient.pk}"


def step_draft_key(request: AmendmentRequest) -> str:
    return f"amendment-step:{request.pk}"


@transaction.atomic
def record_request(
    *,
    who: User,
    patient: Patient,
    id: uuid.UUID,  # noqa: A002
    received_on: date,
    asked_by: str,
    words: str,
    reason: str = "",
    visit: Visit | None = None,
) -> AmendmentRequest:
    """Put on record what somebody asks for. The same `id` again gives the row made before.

    Raises NotKept with what to mend; PermissionDenied.
    """
    _lock(who, patient)
    if before := AmendmentRequest.objects.filter(pk=id).first():
        return _same_person(before, patient)
    if not words.strip() or not asked_by.strip():
        raise NotKept("Write who asks, and for what.")
    if received_on > _today(patient):
        raise NotKept("The day it was received lies ahead.", "received_on")
    if visit and (visit.patient_id != patient.pk or not visit.is_signed):
        raise NotKept("Choose one of the signed visits of this person.", "visit")
    said = {"asked_by": asked_by.strip(), "words": words.strip(), "reason": reason.strip()}
    row = AmendmentRequest.objects.create(
        id=id, patient=patient, visit=visit, received_on=received_on, recorded_by=who, **said
    )
    forget(who=who, key=draft_key(patient))
    record(who=who, did="recorded request for amendment", what=row, patient=str(patient.pk))
    return row


@transaction.atomic
def take_step(
    *, who: User, request: AmendmentRequest, what: str, done_on: date, words: str, ground: str = ""
) -> AmendmentStep:
    """Say what became of a request. The same as the last step by the same person adds nothing.

    Raises NotKept with what to mend: a step that cannot come now (somebody else may have decided meanwhile),
    a day out of place, no words, a denial without one of the grounds; PermissionDenied.
    """
    _lock(who, request.patient)
    asked = request_of(request.patient, request.pk)
    ground = ground if what == What.DENIED else ""
    said: dict[str, Any] = {"what": what, "done_on": done_on, "words": words.strip(), "ground": ground}
    last = asked.steps[-1] if asked.steps else None
    if last and last.done_by_id == who.pk and all(getattr(last, name) == said[name] for name in said):
        return last
    _check_step(asked, **said)
    row = AmendmentStep.objects.create(request=request, done_by=who, **said)
    forget(who=who, key=step_draft_key(request))
    record(who=who, did=f"request for amendment: {row.what}", what=request, ground=ground)
    return row


def _check_step(asked: Asked, *, what: str, done_on: date, words: str, ground: str) -> None:
    if what not in asked.may_follow:
        raise NotKept(f"This can't be done now: the request is {asked.state.lower()}. Read it once more.")
    if not words:
        raise NotKept(WORDS[What(what)], "words")
    if what == What.DENIED and ground not in amendments.load().grounds:
        raise NotKept("Choose the ground of the denial.", "ground")
    earliest = asked.steps[-1].done_on if asked.steps else asked.row.received_on
    if not earliest <= done_on <= _today(asked.row.patient):
        raise NotKept(f"The day must lie between {earliest:%-d %B %Y} and today.", "done_on")
    if what == What.EXTENDED and done_on > asked.first_due_on:
        told = f"More time can be taken until {asked.first_due_on:%-d %B %Y} only. Decide about the request."
        raise NotKept(told, "done_on")


def _lock(who: User, patient: Patient) -> None:
    """One write at a time about a person, by somebody who answers requests and may open the chart."""
    require(who, RIGHT)
    if not charts_of(who).select_for_update().filter(pk=patient.pk).first():
        raise PermissionDenied("This person is registered with another practice.")


def _same_person(row: AmendmentRequest, patient: Patient) -> AmendmentRequest:
    if row.patient_id != patient.pk:
        raise NotKept("Open this page once more: its number was used already.")
    return row


def _today(patient: Patient) -> date:
    return timezone.now().astimezone(patient.practice.zone).date()
