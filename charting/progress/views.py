"""The course of a person over weeks."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from charting.audit.services import record_look
from charting.patients.access import charts_of
from charting.staff.requests import staff


@require_GET
def progress(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    patient = get_object_or_404(charts_of(staff(request)).select_related("practice"), pk=patient_id)
    record_look(who=staff(request), at=patient, as_="opened progress")
    return render(request, "progress/progress.html", {"patient": patient})
