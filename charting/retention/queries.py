"""Which records are past their time, everything that hangs on one, and what keeps it from going."""

import uuid
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.apps import apps
from django.db.models import DateTimeField, ForeignKey, Max, Model
from django.utils import timezone

from charting.contacts.models import Attachment, AttachmentStruck
from charting.exchange.whole.rows import held_by, tables
from charting.handover.models import HandOver
from charting.notes.models import AmendmentRequest
from charting.patients.models import Patient
from charting.retention.periods import Periods
from charting.staff.models import Practice
from charting.visits.models import Visit

AT_ONCE = 500
Inside = dict[type[Model], set[Any]]


@dataclass(frozen=True)
class Standing:
    """A record and those merged into it: the last entry, since when it may go, and why it may not."""

    records: tuple[Patient, ...]
    last_entry: date
    due_on: date
    holds: tuple[str, ...]

    @property
    def person(self) -> Patient:
        return self.records[0]

    def is_due(self, today: date) -> bool:
        return self.due_on <= today


def past_their_time(practice: Practice, periods: Periods, today: date) -> Iterator[Standing]:
    """Every record of the practice that is due; some queries for each."""
    cutoff = datetime(today.year - periods.adult_years, 1, 1, tzinfo=UTC) + timedelta(days=366)
    recent = Visit.objects.filter(started_at__gt=cutoff).values("patient")
    people = Patient.objects.filter(practice=practice, merged_into=None, created_at__lt=cutoff)
    for person in people.exclude(pk__in=recent).order_by("record_number").iterator():
        found = standing_of(person, periods)
        if found.is_due(today):
            yield found


def standing_of(person: Patient, periods: Periods) -> Standing:
    """How it stands with one record; `person` is the one that holds others that were merged into it."""
    records = (person, *_merged_into(person))
    ids = [one.pk for one in records]
    last = _last_entry(ids).astimezone(person.practice.zone).date()
    due = max(periods.due_on(one.birth_date, last) for one in records)
    return Standing(records, last, due, tuple(_holds(records)))


def inside(ids: Sequence[uuid.UUID]) -> Inside:
    """Every row that hangs on these records, table by table."""
    found: Inside = {model: set(held_by(model, ids).values_list("pk", flat=True)) for model in tables()}
    # By the number of the paper, which is no key.
    papers = Attachment.objects.filter(pk__in=found.get(Attachment, ())).values("paper")
    found[AttachmentStruck] = set(
        AttachmentStruck.objects.filter(paper__in=papers).values_list("pk", flat=True)
    )
    return {model: keys for model, keys in found.items() if keys}


def _merged_into(person: Patient) -> Iterator[Patient]:
    for one in Patient.objects.filter(merged_into=person).order_by("record_number"):
        yield one
        yield from _merged_into(one)


def _last_entry(ids: Sequence[uuid.UUID]) -> datetime:
    """The latest time that any row of these records tells of."""
    times = []
    for model in tables():
        names = [field.name for field in model._meta.concrete_fields if isinstance(field, DateTimeField)]
        told = held_by(model, ids).aggregate(**{f"last_{name}": Max(name) for name in names})
        times += [at for at in told.values() if at]
    return max(times)


def _holds(records: Sequence[Patient]) -> Iterator[str]:
    ids = [one.pk for one in records]
    if Visit.objects.filter(patient__in=ids, signed_at=None).exists():
        yield "a visit is not signed"
    if HandOver.objects.filter(visit__patient__in=ids, ended_at=None, expires_at__gt=timezone.now()).exists():
        yield "a device is out"
    if AmendmentRequest.objects.filter(patient__in=ids, steps=None).exists():
        yield "a request to amend the record waits for an answer"
    others = sorted(set(_others(inside(ids))))
    if others:
        yield f"rows of another record point into it ({', '.join(others)}): they go when both are due"


def _others(held: Inside) -> Iterator[str]:
    """What outside of these records names a row inside: by table."""
    for model in apps.get_app_config("charting").get_models():
        for field in model._meta.concrete_fields:
            target = field.related_model if isinstance(field, ForeignKey) else None
            for keys in parts(held.get(target, ())) if target else ():
                rows = model._default_manager.filter(**{f"{field.name}__in": keys})
                if set(rows.values_list("pk", flat=True)) - held.get(model, set()):
                    yield str(model._meta.verbose_name)


def parts(keys: Iterable[Any]) -> Iterator[list[Any]]:
    """As many as every database takes in one question."""
    every = list(keys)
    return (every[start : start + AT_ONCE] for start in range(0, len(every), AT_ONCE))
