"""Give out a record: for another system, or all of it for the person."""

import uuid

from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from charting.audit.services import record_look
from charting.exchange import export_pages, export_services
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.queries import open_visit

FHIR = "application/fhir+json"


@require_GET
def export(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    patient = _chart(user, patient_id)
    require(user, export_services.RIGHT)
    record_look(who=user, at=patient, as_="opened export")
    page = export_pages.export_page(user, patient)
    return render(request, "exchange/export.html", {"page": page, "patient": patient})


@require_POST
def person(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponseBase:
    patient = _chart(staff(request), patient_id)
    found = export_services.give_person(who=staff(request), patient=patient)
    return _named(HttpResponse(found, content_type=FHIR), f"record-{_called(patient)}.fhir.json")


@require_POST
def visit(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponseBase:
    one = open_visit(staff(request), visit_id)
    found = export_services.give_visit(who=staff(request), visit=one)
    held = one.started_at.astimezone(one.patient.practice.zone)
    name = f"visit-{one.patient.record_number}-{held:%Y-%m-%d}.fhir.json"
    return _named(HttpResponse(found, content_type=FHIR), name)


@require_POST
def everything(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponseBase:
    patient = _chart(staff(request), patient_id)
    pieces = export_services.give_everything(who=staff(request), patient=patient)
    whole = StreamingHttpResponse(pieces, content_type="application/zip")
    return _named(whole, f"record-{_called(patient)}.zip")


def _chart(user: User, patient_id: uuid.UUID) -> Patient:
    return get_object_or_404(charts_of(user).select_related("practice"), pk=patient_id)


def _called(patient: Patient) -> str:
    """1042-2026-11-28: no name of a person in a file name."""
    return f"{patient.record_number}-{timezone.localdate():%Y-%m-%d}"


def _named(response: HttpResponseBase, name: str) -> HttpResponseBase:
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
