"""Giving a record out. Nothing in the chart changes; each time is written down."""

import json
from collections.abc import Iterator
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from charting.audit.services import Actor, record
from charting.exchange.fhir import bundle
from charting.exchange.whole import everything
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit

RIGHT = "export records"


def as_json(found: bundle.Bundle) -> bytes:
    return json.dumps(found, ensure_ascii=False, indent=1).encode()


@transaction.atomic
def give_person(*, who: User, patient: Patient) -> bytes:
    """The FHIR bundle of a person. Raises PermissionDenied."""
    require(who, RIGHT)
    return as_json(bundle_of_person(by=who, patient=patient, at=timezone.now()))


@transaction.atomic
def give_visit(*, who: User, visit: Visit) -> bytes:
    """The FHIR document of a visit. Raises PermissionDenied."""
    require(who, RIGHT)
    return as_json(bundle_of_visit(by=who, visit=visit, at=timezone.now()))


@transaction.atomic
def bundle_of_person(*, by: Actor, patient: Patient, at: datetime) -> bundle.Bundle:
    """For somebody whose rights were asked, or with the rights of the machine."""
    found = bundle.of_patient(patient, at=at)
    record(who=by, did="exported record", what=patient, resources=len(found["entry"]))
    return found


@transaction.atomic
def bundle_of_visit(*, by: Actor, visit: Visit, at: datetime) -> bundle.Bundle:
    found = bundle.of_visit(visit, at=at)
    record(who=by, did="exported visit", what=visit, resources=len(found["entry"]))
    return found


def give_everything(*, who: User, patient: Patient) -> Iterator[bytes]:
    """The one file with everything, piece by piece. It is written down before the first piece leaves, so that
    a copy that broke off half way is known too. Raises PermissionDenied.
    """
    require(who, RIGHT)
    with transaction.atomic():
        record(who=who, did="gave out whole record", what=patient)
    return everything.streamed(patient, at=timezone.now())
