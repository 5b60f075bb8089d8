"""The board, for the clinician (staff session) and for the patient (token of a hand-over)."""

import uuid

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from charting.audit.services import Actor, record_look
from charting.drawing import forms, pages, services
from charting.drawing.access import COOKIE, hand_over_behind
from charting.drawing.models import DrawnBy, HandOver
from charting.staff.requests import staff
from charting.staff.rights import may, require
from charting.visits.models import Visit
from charting.visits.queries import open_visit, visit_to_hand_over


@require_GET
def step(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The drawing so far, and who draws next."""
    visit = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="opened drawing")
    page = pages.step_page(visit, staff(request))
    return render(request, "drawing/step.html", {"page": page, "visit": visit, "may_write": page.may_write})


@require_GET
def board(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The clinician draws, on the clinician's own device."""
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    if visit.is_signed:
        # Every line drawn on it would be refused.
        return redirect("drawing-step", visit.pk)
    record_look(who=staff(request), at=visit, as_="opened drawing")
    return _board(request, visit, DrawnBy.CLINICIAN)


@require_POST
def save(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    return _save(request, staff(request), visit, DrawnBy.CLINICIAN)


@require_POST
def hand_over(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """End the staff session on this device and give it to the patient."""
    visit = visit_to_hand_over(staff(request), visit_id)
    row, token = services.hand_over(who=staff(request), visit=visit)
    logout(request)
    response = redirect("board")
    lasts = int(services.HAND_OVER_LASTS.total_seconds())
    response.set_cookie(
        COOKIE, token, max_age=lasts, httponly=True, samesite="Strict", secure=settings.SESSION_COOKIE_SECURE
    )
    return response


@login_not_required
@require_GET
def patient_board(request: HttpRequest) -> HttpResponse:
    held = hand_over_behind(request)
    if held is None:
        return render(request, "drawing/over.html", status=403)
    return _board(request, held.visit, held.drawn_by)


@login_not_required
@require_POST
def patient_save(request: HttpRequest) -> HttpResponse:
    held = hand_over_behind(request)
    if held is None:
        return JsonResponse(
            {"error": "The time for drawing is over. Please give the device back."}, status=403
        )
    return _save(request, held, held.visit, held.drawn_by)


@login_not_required
@require_GET
def patient_done(request: HttpRequest) -> HttpResponse:
    held = hand_over_behind(request)
    return render(request, "drawing/done.html", {"held": held, "back": _way_back(held) if held else ""})


def _way_back(held: HandOver) -> str:
    """Where signing in leads: the visit, or the patient's page for who handed over without reading charts."""
    if may(held.given_by, "open chart"):
        return reverse("visit", args=[held.visit_id])
    return reverse("patient", args=[held.visit.patient_id])


def _board(request: HttpRequest, visit: Visit, who: str) -> HttpResponse:
    data = pages.board_data(visit, who=str(who), csrf=get_token(request))
    return render(request, "drawing/board.html", {"board": data})


def _save(request: HttpRequest, who: Actor, visit: Visit, drawn_by: str) -> HttpResponse:
    try:
        sent = forms.read_events(request)
    except forms.UnreadableRequest as problem:
        return JsonResponse({"error": str(problem)}, status=problem.status)
    return JsonResponse(services.save_events(who=who, visit=visit, drawn_by=drawn_by, sent=sent).as_json())
