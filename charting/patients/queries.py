"""Every read of people. Each begins at the one door, access.patients_of."""

import uuid
from collections.abc import Set
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone

from charting.patients.access import patients_of
from charting.patients.dates import dates_meant
from charting.patients.models import Patient
from charting.patients.names import are_alike, folded
from charting.staff.models import User

MOST = 50


@dataclass(frozen=True)
class Found:
    """What a search found: at most MOST people; `more` when others match too."""

    patients: tuple[Patient, ...]
    more: bool


def open_patient(user: User, patient_id: uuid.UUID) -> Patient:
    """One person. Raises Http404 when it is nobody this user may know of."""
    return get_object_or_404(patients_of(user).select_related("practice"), pk=patient_id)


def search(user: User, text: str) -> Found:
    """People by birth date, record number or the beginnings of their names, in any order.

    Without any text: those registered last.
    """
    people = patients_of(user)
    if not text.strip():
        return _first(people.order_by("-created_at"))
    return _first(people.filter(_matches(text)))


def likely_same(user: User, *, family_name: str, given_names: str, birth_date: date) -> tuple[Patient, ...]:
    """People born on the same day with a similar name."""
    name = folded(f"{given_names} {family_name}")
    born = patients_of(user).filter(birth_date=birth_date)
    return tuple(patient for patient in born if are_alike(name, patient.search_name))


def born_on_one_of(user: User, days: Set[date]) -> list[Patient]:
    """Everybody born on one of these days, in few queries for thousands of days."""
    ordered = sorted(days)
    parts = (ordered[at : at + 500] for at in range(0, len(ordered), 500))
    return [patient for part in parts for patient in patients_of(user).filter(birth_date__in=part)]


def of_person(patient: Patient, path: str = "patient") -> Q:
    """Rows of a person, those under a record that was merged into this one with them.

    For every read of rows that are never changed (charting.merging.tables): they stay under the record they
    were written for. `path`: how a row leads to its patient.
    """
    return Q(**{path: patient}) | Q(**{f"{path}__merged_into": patient})


def of_person_or_visit(patient: Patient) -> Q:
    """The same for rows that may name a visit: those follow their visit, wherever it stands now."""
    return Q(visit__patient=patient) | (Q(visit=None) & of_person(patient))


def stands_as(patient: Patient) -> Patient:
    """The record that holds this person now. Needs `merged_into` at hand (select_related)."""
    return patient.merged_into or patient


def _matches(text: str) -> Q:
    dates = dates_meant(text, today=timezone.localdate())
    if dates:
        return Q(birth_date__in=dates)
    if text.strip().isdecimal():
        return Q(record_number=int(text.strip()[:9]))
    wanted = Q()
    for part in folded(text).split():
        wanted &= Q(search_name__startswith=part) | Q(search_name__contains=f" {part}")
    return wanted if wanted else Q(pk__in=[])


def _first(people: QuerySet[Patient]) -> Found:
    listed = tuple(people[: MOST + 1])
    return Found(listed[:MOST], len(listed) > MOST)
