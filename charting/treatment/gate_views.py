"""Gates of needling, late advice and needles that differ: fetch, parse, act, render."""

import uuid
from dataclasses import replace

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.patterns.queries import atlas_for
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.treatment import gate_pages, gate_services, where
from charting.treatment.gate_forms import IncidentForm, LateAdviceForm, OverrideForm
from charting.treatment.where import Where
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit

MEANWHILE = "This changed while you were writing: read above what is new, then save again."
RECOUNTED = "The needles were counted anew while you were writing: read the counts above, then save again."


@require_http_methods(["GET", "POST"])
def gates(request: HttpRequest, visit_id: uuid.UUID, place: str) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    at = _muscle(visit, place, request.GET.get("area", ""))
    if request.method == "POST":
        return _override(request, visit, at)
    record_look(who=staff(request), at=visit, as_="opened gates of needling")
    return _gates(request, visit, at)


@require_http_methods(["GET", "POST"])
def late_advice(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "GET":
        record_look(who=staff(request), at=visit, as_="opened late advice")
        return _late_advice(request, visit)
    require(staff(request), "treat")
    form = LateAdviceForm(request.POST)
    if not form.is_valid():
        return _late_advice(request, visit, form, status=422)
    gate_services.give_late_advice(who=staff(request), visit=visit, **form.cleaned_data)
    messages.success(request, "The advice is recorded.", extra_tags="ok")
    return redirect("treatment", visit.pk)


@require_http_methods(["GET", "POST"])
def incident(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "GET":
        record_look(who=staff(request), at=visit, as_="opened needle counts")
        return _incident(request, visit)
    require(staff(request), "treat")
    form = IncidentForm(request.POST)
    if not form.is_valid():
        return _incident(request, visit, form, status=422)
    try:
        gate_services.record_incident(who=staff(request), visit=visit, **form.cleaned_data)
    except Stale:
        return _recounted(request, visit, form)
    messages.success(request, "What became of the needles is recorded.", extra_tags="ok")
    return redirect("treatment", visit.pk)


def _override(request: HttpRequest, visit: Visit, at: Where) -> HttpResponse:
    require(staff(request), "override gates")
    form = gate_pages.override_form(request.POST.dict())
    if not form.is_valid():
        return _gates(request, visit, at, form, status=422)
    try:
        row = gate_services.override(who=staff(request), visit=visit, at=at, **form.cleaned_data)
    except Stale:
        return _changed(request, visit, at)
    messages.success(request, f"Gone past, with your reason: {row.shown['title']}.", extra_tags="ok")
    return redirect(request.get_full_path())


def _changed(request: HttpRequest, visit: Visit, at: Where) -> HttpResponse:
    """The gate is not what the page showed; the reason stands in the form, beside the gate as it is now."""
    page = gate_pages.gates_page(visit, staff(request), at)
    now = {card.gate.id: card.form["state"].value() for card in page.stops if card.form}
    sent = {**request.POST.dict(), "state": now.get(request.POST["gate"], "")}
    again = gate_pages.override_form(sent)
    again.full_clean()
    again.add_error(None, MEANWHILE)
    return _gates(request, visit, at, again, status=409)


def _recounted(request: HttpRequest, visit: Visit, form: IncidentForm) -> HttpResponse:
    now = gate_pages.incident_page(visit, staff(request)).form["state"].value()
    again = IncidentForm({**request.POST.dict(), "state": now})
    again.full_clean()
    again.add_error(None, RECOUNTED)
    return _incident(request, visit, again, status=409)


def _muscle(visit: Visit, place: str, area: str) -> Where:
    """Raises Http404 for what is no muscle of one side. `area` counts where only the practice knows it."""
    at = where.parse(place)
    at = replace(at, area=area) if at.is_unplaced else at
    if not at.muscle or where.wrong(at, atlas_for(visit.patient.practice)):
        raise Http404("no such muscle")
    return at


def _gates(
    request: HttpRequest, visit: Visit, at: Where, sent: OverrideForm | None = None, *, status: int = 200
) -> HttpResponse:
    page = gate_pages.gates_page(visit, staff(request), at, sent)
    return render(request, "treatment/gates.html", {"page": page, "visit": visit}, status=status)


def _late_advice(
    request: HttpRequest, visit: Visit, sent: LateAdviceForm | None = None, *, status: int = 200
) -> HttpResponse:
    page = gate_pages.late_advice_page(visit, staff(request), sent)
    return render(request, "treatment/late_advice.html", {"page": page, "visit": visit}, status=status)


def _incident(
    request: HttpRequest, visit: Visit, sent: IncidentForm | None = None, *, status: int = 200
) -> HttpResponse:
    page = gate_pages.incident_page(visit, staff(request), sent)
    return render(request, "treatment/incident.html", {"page": page, "visit": visit}, status=status)
