"""Every write about adverse events. Rows are append-only: a later one corrects or follows up."""

import uuid
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.services import forget
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import require
from charting.treatment import adverse
from charting.treatment.models import AdverseEvent, AdverseFollowUp
from charting.visits.models import Visit


class NotKept(Exception):
    """Why it was not recorded, in words for the page."""


@dataclass(frozen=True)
class Happened:
    """What happened, as it is recorded. `treated`: the treatment it is thought of, in words; `technique`,
    `muscle` and `side` by id where it was an entry.
    """

    happened_at: datetime
    what: str
    severity: str
    words: str
    done: str = ""
    reported_by_patient: bool = False
    follow_up_on: date | None = None
    visit: Visit | None = None
    treated: str = ""
    technique: str = ""
    muscle: str = ""
    side: str = ""

    @property
    def columns(self) -> dict[str, Any]:
        return {field.name: getattr(self, field.name) for field in fields(self)}


def draft_key(patient: Patient) -> str:
    return f"reaction:{patient.pk}"


def further_draft_key(event: AdverseEvent, verb: str) -> str:
    return f"reaction:{verb}:{event.pk}"


@transaction.atomic
def record_event(*, who: User, patient: Patient, id: uuid.UUID, said: Happened) -> AdverseEvent:  # noqa: A002
    """Record an adverse event, also after its visit was signed. The same `id` again
    gives the row made before.

    Raises NotKept with what to mend; PermissionDenied.
    """
    _lock(who, patient)
    if before := AdverseEvent.objects.filter(pk=id).first():
        return _same_person(before, patient)
    _check(patient, said)
    row = AdverseEvent.objects.create(id=id, patient=patient, recorded_by=who, **said.columns)
    forget(who=who, key=draft_key(patient))
    _trace(who, "recorded adverse event", row)
    return row


@transaction.atomic
def correct_event(*, who: User, event: AdverseEvent, id: uuid.UUID, said: Happened) -> AdverseEvent:  # noqa: A002
    """The row that stands in place of a wrong one, which stays to be seen. Raises NotKept when somebody
    corrected it meanwhile.
    """
    _lock(who, event.patient)
    if before := AdverseEvent.objects.filter(pk=id).first():
        return _same_person(before, event.patient)
    if event.corrected_by.exists():
        raise NotKept("Somebody corrected this line meanwhile. Look at the list once more.")
    _check(event.patient, said)
    row = AdverseEvent.objects.create(
        id=id, patient=event.patient, recorded_by=who, corrects=event, **said.columns
    )
    # What was done about it is done: the new row goes on from there.
    for after in event.follow_ups.all():
        told = {"words": after.words, "settles": after.settles, "next_on": after.next_on}
        AdverseFollowUp.objects.create(event=row, done_by=after.done_by, **told)
    forget(who=who, key=further_draft_key(event, "correct"))
    _trace(who, "corrected adverse event", row)
    return row


@transaction.atomic
def follow_up(
    *, who: User, event: AdverseEvent, words: str, settles: bool, next_on: date | None = None
) -> AdverseFollowUp:
    """Say how it went on. One that does not settle it names the day of the next look.

    Raises NotKept without words, without that day, or when the event was corrected meanwhile. The same again
    adds nothing.
    """
    _lock(who, event.patient)
    said = {"words": words.strip(), "settles": settles, "next_on": None if settles else next_on}
    if not said["words"]:
        raise NotKept("Say how it went on.")
    if not settles and next_on is None:
        raise NotKept("Name the day on which it is looked at again.")
    last = event.follow_ups.last()
    if last and last.done_by_id == who.pk and all(getattr(last, name) == said[name] for name in said):
        return last
    if event.corrected_by.exists():
        raise NotKept("Somebody corrected this line meanwhile. Look at the list once more.")
    row = AdverseFollowUp.objects.create(event=event, done_by=who, **said)
    forget(who=who, key=further_draft_key(event, "follow-up"))
    record(who=who, did="followed up adverse event", what=event, settles=settles)
    return row


def _lock(who: User, patient: Patient) -> None:
    """One write at a time about a person, by somebody who treats and may open the chart."""
    require(who, "treat")
    if not charts_of(who).select_for_update().filter(pk=patient.pk).first():
        raise PermissionDenied("This person is registered with another practice.")


def _check(patient: Patient, said: Happened) -> None:
    known = adverse.load()
    if said.what not in known.kinds or said.severity not in known.severities:
        raise NotKept("Choose what happened and how severe it is.")
    if not said.words.strip():
        raise NotKept("Say what happened.")
    if said.happened_at > timezone.now():
        raise NotKept("The time it happened lies ahead. Enter one that has passed.")
    if said.visit and said.visit.patient_id != patient.pk:
        raise NotKept("Choose one of the visits of this person.")


def _same_person(row: AdverseEvent, patient: Patient) -> AdverseEvent:
    if row.patient_id != patient.pk:
        raise NotKept("Open this page once more: its number was used already.")
    return row


def _trace(who: User, did: str, row: AdverseEvent) -> None:
    record(who=who, did=did, what=row, kind=row.what, severity=row.severity, patient=str(row.patient_id))
