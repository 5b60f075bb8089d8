"""Every write to a person: register, change."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Max

from charting.audit.services import record, record_each
from charting.drafts.services import forget
from charting.patients import seen_at
from charting.patients.access import patients_of
from charting.patients.models import Patient
from charting.patients.names import folded
from charting.patients.queries import likely_same
from charting.staff.models import Practice, Site, User
from charting.staff.rights import require
from charting.versioning import save_if_current

NEW_DRAFT = "patient:new"


class PerhapsKnown(Exception):
    """Somebody with this birth date and a similar name is registered already."""

    def __init__(self, patients: tuple[Patient, ...]) -> None:
        super().__init__("perhaps this person is registered already")
        self.patients = patients


def draft_key(patient: Patient) -> str:
    return f"patient:{patient.pk}"


@transaction.atomic
def register(
    *,
    who: User,
    id: uuid.UUID | None = None,  # noqa: A002 - the name of the column
    family_name: str,
    given_names: str,
    birth_date: date,
    all_the_same: bool = False,
    sites: Sequence[Site] = (),
    **about: Any,
) -> Patient:
    """Add a person to the practice of `who`. The same person sent twice under one `id` is made once.

    An `id` that was used for somebody else (a page kept open) gives the new person an own one. `sites`: where
    the person is seen; without, seen_at.sites_for_new says. Raises PerhapsKnown unless `all_the_same`;
    PermissionDenied.
    """
    require(who, "register")
    # One registration at a time in a practice: the next record number is then free on both databases.
    practice = Practice.objects.select_for_update().get(staff=who)
    made_before = _made_before(practice, id)
    if made_before and _is(made_before, family_name, given_names, birth_date):
        return made_before
    where = seen_at.sites_for_new(who, sites)
    known = likely_same(who, family_name=family_name, given_names=given_names, birth_date=birth_date)
    if known and not all_the_same:
        raise PerhapsKnown(known)
    patient = Patient.objects.create(
        id=uuid.uuid4() if made_before or id is None else id,
        practice=practice,
        record_number=_next_number(practice),
        search_name=folded(f"{given_names} {family_name}"),
        family_name=family_name,
        given_names=given_names,
        birth_date=birth_date,
        **about,
    )
    seen_at.put([patient], where)
    forget(who=who, key=NEW_DRAFT)
    placed = {"sites": [site.pk for site in where]} if where else {}
    record(who=who, did="registered", what=patient, despite=[str(each.pk) for each in known], **placed)
    return patient


@dataclass(frozen=True)
class NewPerson:
    """Somebody of a list: clean values as `register` takes them, and the ids of people likely the same."""

    about: Mapping[str, Any]
    despite: tuple[str, ...] = ()


@transaction.atomic
def register_all(*, who: User, people: Sequence[NewPerson], sites: Sequence[Site] = ()) -> list[Patient]:
    """Add many people at once, in their order, all seen at the same `sites` (as in `register`). Whether they
    are known already was looked at before.

    Raises PermissionDenied.
    """
    require(who, "register")
    practice = Practice.objects.select_for_update().get(staff=who)
    where = seen_at.sites_for_new(who, sites)
    first = _next_number(practice)
    made = [
        Patient(
            practice=practice,
            record_number=number,
            search_name=folded(f"{one.about['given_names']} {one.about['family_name']}"),
            **one.about,
        )
        for number, one in enumerate(people, first)
    ]
    Patient.objects.bulk_create(made, batch_size=500)
    seen_at.put(made, where)
    placed = {"sites": [site.pk for site in where]} if where else {}
    told = [(row, {"despite": list(one.despite), **placed}) for row, one in zip(made, people, strict=True)]
    record_each(who=who, did="registered", what=told)
    return made


@transaction.atomic
def change(*, who: User, patient: Patient, version: int, **about: Any) -> Patient:
    """Change what is on record about a person. Raises Stale when somebody saved since `version`."""
    require(who, "register")
    if not patients_of(who).filter(pk=patient.pk).exists():
        raise PermissionDenied("This person is registered with another practice, or seen at another site.")
    changed = sorted(name for name, value in about.items() if getattr(patient, name) != value)
    name = {"search_name": folded(f"{about['given_names']} {about['family_name']}")}
    save_if_current(patient, version=version, **about, **name)
    forget(who=who, key=draft_key(patient))
    record(who=who, did="changed", what=patient, fields=changed, version=patient.version)
    return patient


def _made_before(practice: Practice, id_: uuid.UUID | None) -> Patient | None:
    patient = Patient.objects.filter(pk=id_).first() if id_ else None
    if patient and patient.practice_id != practice.pk:
        raise PermissionDenied("Open the page for a new patient once more.")
    return patient


def _is(patient: Patient, family_name: str, given_names: str, birth_date: date) -> bool:
    return (patient.family_name, patient.given_names, patient.birth_date) == (
        family_name,
        given_names,
        birth_date,
    )


def _next_number(practice: Practice) -> int:
    return 1 + (Patient.objects.filter(practice=practice).aggregate(top=Max("record_number"))["top"] or 0)
