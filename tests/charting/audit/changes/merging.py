"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

import uuid
from collections.abc import Callable
from datetime import date
from types import ModuleType
from typing import Any

from django.utils import timezone

from charting.contacts import services as contacts
from charting.contacts.models import Contact
from charting.merging import apart, queries, services
from charting.merging.models import PatientMerge
from charting.patients.models import Patient


def a_line(who: Any, patient: Patient, **more: Any) -> Contact:
    """A call, logged."""
    said = {"way": "call_from", "happened_at": timezone.now(), "words": "Called.", "needs_follow_up": False}
    return contacts.log(who=who, patient=patient, id=uuid.uuid4(), **{**said, **more})


def a_second_record(visit: Any, number: int = 7001) -> Patient:
    """Another record that may be of the same person."""
    told = {"family_name": "Keller", "given_names": "Anna", "birth_date": date(1978, 5, 3)}
    return Patient.objects.get_or_create(
        practice=visit.patient.practice, record_number=number, search_name="anna keller", defaults=told
    )[0]


def merge(who: Any, visit: Any) -> PatientMerge:
    kept, gone = Patient.objects.get(pk=visit.patient_id), a_second_record(visit)
    said = {"seen": queries.state_of(kept, gone), "named": "7001", "known": frozenset(services.TELLING_APART)}
    return services.merge(who=who, kept=kept, gone=gone, **said, values={}, reason="Asked.")


def a_merge(visit: Any) -> PatientMerge:
    """One that was done already."""
    kept, gone = Patient.objects.get(pk=visit.patient_id), a_second_record(visit, 7002)
    found = PatientMerge.objects.filter(kept=kept, gone=gone, undone=None).first()
    if found:
        return found
    said = {"seen": queries.state_of(kept, gone), "named": "7002", "known": frozenset(services.TELLING_APART)}
    return services.merge(who=visit.clinician, kept=kept, gone=gone, **said, values={}, reason="Asked.")


def unmerge(who: Any, visit: Any) -> None:
    row = a_merge(visit)
    choices = {one.key: services.KEPT for one in apart.made_since(row)}
    apart.unmerge(who=who, merge=row, choices=choices, reason="Two cousins.")


CHANGES: dict[Callable[..., Any], ModuleType] = {merge: services, unmerge: apart}
