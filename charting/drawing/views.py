"""The drawing of a visit on the staff's own screen. The patient's board is in charting.handover."""

import uuid

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.drawing import asking, forms, pages, services
from charting.drawing.queries import description_of
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_GET
def step(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The drawing so far, and who draws next."""
    visit = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="opened drawing")
    page = pages.step_page(visit, staff(request))
    return render(request, "drawing/step.html", {"page": page, "visit": visit, "may_write": page.may_write})


@require_GET
def board(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """Staff draw on their own device: findings, what a patient shows, or what stands on a sheet of paper."""
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    if visit.is_signed:
        # Every line drawn on it would be refused.
        return redirect("drawing-step", visit.pk)
    sitting = forms.sitting_of(request, visit)
    record_look(who=staff(request), at=visit, as_="opened drawing")
    data = pages.board_data(visit, sitting, csrf=get_token(request))
    return render(request, "drawing/board.html", {"board": data})


@require_http_methods(["GET", "POST"])
def sheets(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """Begin to copy a drawing that was made on paper: who drew, and when. Then the board opens for it."""
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    if request.method == "GET":
        record_look(who=staff(request), at=visit, as_="opened drawing")
        form = forms.SheetForm(visit=visit, initial=forms.SheetForm.usual(visit))
        return _sheets(request, visit, form)
    form = forms.SheetForm(request.POST, visit=visit)
    if not form.is_valid():
        return _sheets(request, visit, form, status=422)
    sheet = services.enter_sheet(who=staff(request), visit=visit, **form.cleaned_data)
    return redirect(f"{reverse('drawing', args=[visit.pk])}?sheet={sheet.pk}")


def _sheets(request: HttpRequest, visit: Visit, form: forms.SheetForm, *, status: int = 200) -> HttpResponse:
    lines = pages.sheet_lines(visit)
    context = {"form": form, "sheets": lines, "visit": visit}
    return render(request, "drawing/sheets.html", context, status=status)


@require_POST
def save(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    sitting = forms.sitting_of(request, visit)
    try:
        sent = forms.read_sent(request)
    except forms.UnreadableRequest as problem:
        return JsonResponse({"error": str(problem)}, status=problem.status)
    outcome = services.save_events(
        who=staff(request), visit=visit, drawn_by=sitting.layer, sent=sent.events, sheet=sitting.sheet
    )
    return JsonResponse(outcome.as_json())


@require_GET
def words(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The drawing in sentences, for a board that is read aloud."""
    visit = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="opened drawing in words")
    return JsonResponse({"sentences": list(description_of(visit))})


@require_GET
def key(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The device key of one's own board again, for what it left unsent."""
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    record_look(who=staff(request), at=visit, as_="opened device key")
    return JsonResponse(forms.sitting_of(request, visit).device)


@require_GET
def areas(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """After drawing: what is asked about each area, and where nothing is."""
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    if visit.is_signed:
        # Every answer given on it would be refused.
        return redirect("drawing-step", visit.pk)
    sitting = forms.sitting_of(request, visit)
    record_look(who=staff(request), at=visit, as_="opened areas")
    page = asking.areas_page(visit, sitting, csrf=get_token(request))
    return render(request, "drawing/areas.html", {"page": page})
