"""Every read of records that may be, were, or are no longer one person."""

import hashlib
import json
import uuid
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from charting.drafts.models import Draft
from charting.handover.models import HandOver
from charting.history import merged
from charting.history.queries import standing_of
from charting.history.standing import Fact
from charting.merging.models import PatientMerge
from charting.merging.tables import MOVED, STAY
from charting.patients.access import charts_of, records_of
from charting.patients.models import Patient
from charting.patients.names import are_alike
from charting.staff.models import User

# So many pairs on one page.
MOST = 200


@dataclass(frozen=True)
class Pair:
    """Two records that may be of one person, the older record first, and why."""

    one: Patient
    other: Patient
    why: str


def chart(user: User, patient_id: uuid.UUID) -> Patient:
    """Raises Http404."""
    return get_object_or_404(charts_of(user).select_related("practice"), pk=patient_id)


def by_number(user: User, number: int) -> Patient | None:
    return charts_of(user).filter(record_number=number).first()


def likely_twice(user: User) -> tuple[Pair, ...]:
    """Records of the practice that may be of one person, surest first; at most MOST. One query."""
    people = list(charts_of(user).order_by("record_number"))
    found: dict[tuple[uuid.UUID, uuid.UUID], Pair] = {}
    for pair in (*_same_day(people), *_same_name(people), *_same_address(people)):
        found.setdefault((pair.one.pk, pair.other.pk), pair)
    return tuple(found.values())[:MOST]


def likely_twin_records(user: User, patient: Patient) -> tuple[Pair, ...]:
    """The pairs that this record is one of."""
    return tuple(pair for pair in likely_twice(user) if patient.pk in (pair.one.pk, pair.other.pk))


def _pairs(people: list[Patient], key: str) -> Iterator[tuple[Patient, Patient]]:
    groups: dict[object, list[Patient]] = defaultdict(list)
    for patient in people:
        if value := getattr(patient, key):
            groups[value].append(patient)
    for group in groups.values():
        for place, one in enumerate(group):
            for other in group[place + 1 :]:
                yield one, other


def _same_day(people: list[Patient]) -> Iterator[Pair]:
    alike = [
        (one, other)
        for one, other in _pairs(people, "birth_date")
        if are_alike(one.search_name, other.search_name)
    ]
    for one, other in alike:
        if one.search_name == other.search_name:
            yield Pair(one, other, "same name and date of birth")
    for one, other in alike:
        if one.search_name != other.search_name:
            yield Pair(one, other, "same date of birth, similar name: perhaps one of twins")


def _same_name(people: list[Patient]) -> Iterator[Pair]:
    """Day and month of the birth date may have been swapped when one of them was registered."""
    for one, other in _pairs(people, "search_name"):
        if _swapped(one.birth_date) == other.birth_date:
            yield Pair(one, other, "same name, day and month of birth swapped")


def _swapped(day: date) -> date | None:
    try:
        return day.replace(month=day.day, day=day.month)
    except ValueError:
        return None


def _same_address(people: list[Patient]) -> Iterator[Pair]:
    """A number or address may be that of a family, so the whole name must be the same."""
    for key, words in (("email", "e-mail address"), ("phone", "phone number")):
        for one, other in _pairs(people, key):
            if one.search_name == other.search_name and one.birth_date != other.birth_date:
                yield Pair(one, other, f"same name and {words}, other date of birth")


def facts_that_disagree(kept: Patient, gone: Patient) -> tuple[tuple[Fact | None, Fact | None, bool], ...]:
    """What stands with either: (of kept, of gone, whether they disagree), in the order of the catalogue."""
    mine, theirs = ({f.subject.item.key: f for f in standing_of(each)} for each in (kept, gone))
    keys = [fact.subject.item.key for fact in (*mine.values(), *theirs.values())]
    return tuple(
        (mine.get(key), theirs.get(key), _disagree(mine.get(key), theirs.get(key)))
        for key in dict.fromkeys(keys)
    )


def _disagree(one: Fact | None, other: Fact | None) -> bool:
    return one is not None and other is not None and one.words != other.words


def devices_out(*people: Patient) -> QuerySet[HandOver]:
    """Devices that were handed over for one of these people and not taken back."""
    rows = HandOver.objects.filter(visit__patient__in=people, ended_at=None)
    return rows.select_related("visit", "given_by")


def ids_of(patient: Patient) -> dict[str, list[str]]:
    """{name of a table: ids of the rows whose `patient` this is}"""
    found = {}
    for name, model in MOVED.items():
        rows = model._default_manager.filter(patient=patient).order_by("pk")
        found[name] = [str(pk) for pk in rows.values_list("pk", flat=True)]
    return found


def counts_of(patient: Patient) -> dict[str, int]:
    """How many rows of each table stand under this record."""
    return {
        name: model._default_manager.filter(patient=patient).count() for name, model in (MOVED | STAY).items()
    }


def state_of(kept: Patient, gone: Patient) -> str:
    """A short mark of two records: it changes with every change of what they say or hold."""
    told = [
        [
            str(each.pk),
            each.version,
            counts_of(each),
            [row.pk for row in merged.rows_of(each)],
        ]
        for each in (kept, gone)
    ]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()[:16]


def merges_of(user: User, patient: Patient) -> QuerySet[PatientMerge]:
    """What was merged into this record, or this record into another, undone or not."""
    rows = PatientMerge.objects.filter(Q(kept=patient) | Q(gone=patient) | Q(kept__merged_into=patient))
    return rows.filter(kept__in=records_of(user)).select_related("kept", "gone", "done_by", "undone__done_by")


def merge_that_stands(user: User, kept: Patient, gone_id: uuid.UUID) -> PatientMerge | None:
    """The merge of these two, where it was done already: a second tap leads there."""
    rows = PatientMerge.objects.filter(kept=kept, gone=gone_id, undone=None, kept__in=charts_of(user))
    return rows.first()


def merge_for(user: User, merge_id: uuid.UUID) -> PatientMerge:
    """Raises Http404."""
    rows = PatientMerge.objects.select_related("kept__practice", "gone__practice", "done_by", "undone")
    return get_object_or_404(rows.filter(kept__in=records_of(user)), pk=merge_id)


def drafts_about(patient: Patient) -> QuerySet[Draft]:
    """Forms begun about this record; not the one for what is on record of the person."""
    return Draft.objects.filter(key__contains=str(patient.pk)).exclude(key=f"patient:{patient.pk}")
