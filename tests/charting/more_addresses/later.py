"""What is written into a signed note afterwards, requests for amendment, co-signatures."""

import uuid
from datetime import date
from typing import Any

from charting.notes.models import AmendmentRequest
from charting.visits.models import Visit
from tests.charting.addresses import Address


def a_request(visit: Visit) -> Any:
    said = {"received_on": date(2026, 3, 1), "asked_by": "Anna Keller", "words": "I work standing."}
    return AmendmentRequest.objects.create(patient=visit.patient, recorded_by=visit.clinician, **said).pk


def a_request_as_sent(visit: Visit) -> dict[str, Any]:
    day = {"received_on_day": "1", "received_on_month": "March", "received_on_year": "2026"}
    return {"id": uuid.uuid4(), "asked_by": "Anna Keller", "words": "I work standing.", **day}


def a_step(visit: Visit) -> dict[str, Any]:
    day = {"done_on_day": "20", "done_on_month": "March", "done_on_year": "2026"}
    return {"what": "accepted", "words": "Entered.", **day}


def of_record(name: str, verb: str = "GET", **more: Any) -> Address:
    return Address(name, verb, of="patient", **more)


ADDRESSES = (
    of_record("amendments"),
    of_record("amendments", "POST", data=a_request_as_sent),
    of_record("amendment", row=a_request),
    of_record("amendment", "POST", row=a_request, data=a_step),
    # Only what a trainee signed is co-signed, and here nothing is.
    Address("note-cosign", "GET", of="visit"),
    Address("note-cosign", "POST", of="visit"),
    Address("trainees", "GET"),
    Address(
        "trainees",
        "POST",
        data=lambda visit: {"user": visit.clinician_id, "is_trainee": "on"},
    ),
)
