"""The numbers under which other systems know a person."""

import uuid
from collections.abc import Iterable

from django.db import transaction
from django.db.models import Q

from charting.audit.services import record
from charting.exchange.fhir import codes
from charting.exchange.fhir.parts import address_of
from charting.exchange.fhir.patient import record_number_system
from charting.patients.access import patients_of, records_of
from charting.patients.models import Patient, PatientIdentifier
from charting.staff.models import User
from charting.staff.rights import require

Numbers = Iterable[tuple[str, str]]


@transaction.atomic
def keep(*, who: User, patient: Patient, numbers: Numbers) -> int:
    """Add those that are not on record yet, and not our own. Raises PermissionDenied."""
    require(who, "register")
    own = own_numbers(patient)
    known = own | set(patient.identifiers.values_list("system", "value"))
    new = [number for number in dict.fromkeys(numbers) if number not in known]
    PatientIdentifier.objects.bulk_create(
        PatientIdentifier(patient=patient, system=system, value=value) for system, value in new
    )
    if new:
        record(who=who, did="kept numbers of other systems", what=patient, count=len(new))
    return len(new)


def own_numbers(patient: Patient) -> set[tuple[str, str]]:
    return {
        (record_number_system(patient), str(patient.record_number)),
        (codes.system("uri"), address_of(patient.pk)),
    }


def known_by(user: User, numbers: Numbers) -> tuple[Patient, ...]:
    """The people of the practice whom one of these numbers means: ours, or one that was kept before."""
    said = tuple(numbers)
    wanted = Q(pk__in=[])
    for system, value in said:
        wanted |= Q(identifiers__system=system, identifiers__value=value)
    kept = patients_of(user).filter(wanted).distinct().select_related("practice")
    return tuple({one.pk: one for one in (*_ours(user, said), *kept)}.values())


def _ours(user: User, said: Numbers) -> Iterable[Patient]:
    """By our own record number or id: what we exported ourselves. One that was merged means the kept one."""
    prefix, uri = codes.system("record_number"), codes.system("uri")
    for system, value in said:
        people = records_of(user).select_related("practice", "merged_into")
        if system == uri and value.startswith("urn:uuid:"):
            found = people.filter(pk=_id(value)).first() if _id(value) else None
        elif system.startswith(prefix) and value.isdecimal() and len(value) < 10:
            found = people.filter(record_number=int(value)).first()
            found = found if found and record_number_system(found) == system else None
        else:
            continue
        if found:
            yield found.merged_into or found


def _id(value: str) -> str:
    try:
        return str(uuid.UUID(value.removeprefix("urn:uuid:")))
    except ValueError:
        return ""
