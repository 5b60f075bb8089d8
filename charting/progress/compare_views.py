"""Two drawings of a person laid over each other."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from charting.audit.services import record_look
from charting.patients.access import charts_of
from charting.progress.compare_pages import compare_page
from charting.staff.requests import staff


@require_GET
def compare(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    patient = get_object_or_404(charts_of(user).select_related("practice"), pk=patient_id)
    record_look(who=user, at=patient, as_="opened two drawings")
    page = compare_page(patient, request.GET.get("before", ""), request.GET.get("after", ""))
    status = 422 if page.is_refused else 200
    return render(request, "progress/compare.html", {"page": page, "patient": patient}, status=status)
