"""The board in the hands of the patient, opened by the token of a hand-over; and what staff do about it."""

import uuid

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.drawing import asking
from charting.drawing import forms as drawn
from charting.drawing import pages as drawing
from charting.drawing.queries import description_of
from charting.handover import queries, services
from charting.handover.access import cookie_name, hand_over_behind
from charting.handover.forms import HandOverForm
from charting.handover.models import HandOver
from charting.handover.offline import worker_words
from charting.handover.parts import ways_back
from charting.handover.sittings import sitting_of
from charting.staff.requests import staff
from charting.staff.rights import may
from charting.visits.queries import may_write, visit_to_hand_over

OVER = "The time for drawing is over. Please give the device back."


@require_http_methods(["GET", "POST"])
def hand_over(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """End the staff session on this device and give it to the patient, or to who draws for them. GET asks
    what the patient is to do there, also for who may not open the chart.
    """
    visit = visit_to_hand_over(staff(request), visit_id)
    if request.method == "GET":
        record_look(who=staff(request), at=visit, as_="opened hand-over")
        context = {"visit": visit, "may_write": may_write(staff(request), visit)}
        return render(request, "handover/give.html", context)
    form = HandOverForm(request.POST)
    if not form.is_valid():
        return render(request, "handover/who.html", {"form": form, "visit": visit}, status=422)
    _, token = services.hand_over(who=staff(request), visit=visit, **form.cleaned_data)
    logout(request)
    response = redirect("board")
    # Longer than the token: a device whose time ran out stays closed until the clinician takes it back.
    lasts = int(services.DEVICE_IS_CLOSED.total_seconds())
    response.set_cookie(
        cookie_name(), token, max_age=lasts, httponly=True, samesite="Strict", secure=settings.TLS
    )
    return response


@login_not_required
@require_GET
def board(request: HttpRequest) -> HttpResponse:
    """The drawing board, once name and birth date were found right; the story first where it is asked."""
    held = hand_over_behind(request)
    if held is None:
        return render(request, "handover/over.html", status=403)
    if held.confirmed_at is None:
        return render(request, "handover/confirm.html", {"held": held, "patient": held.visit.patient})
    if queries.story_comes_first(held):
        return redirect("tell")
    data = drawing.board_data(held.visit, sitting_of(held), csrf=get_token(request))
    return render(request, "drawing/board.html", {"board": data})


@login_not_required
@require_POST
def confirm(request: HttpRequest) -> HttpResponse:
    """Is this the person? Yes opens the board; no ends the hand-over."""
    held = hand_over_behind(request)
    if held is None:
        return render(request, "handover/over.html", status=403)
    if request.POST.get("is_me") == "yes":
        services.confirm(held=held)
        return redirect("board-on" if held.tells or held.asks else "board")
    services.deny(held=held)
    return render(request, "handover/not_me.html")


@login_not_required
@require_POST
def save(request: HttpRequest) -> HttpResponse:
    held = hand_over_behind(request)
    if held is None or held.confirmed_at is None:
        return JsonResponse({"error": OVER}, status=403)
    try:
        sent = drawn.read_sent(request)
    except drawn.UnreadableRequest as problem:
        return JsonResponse({"error": str(problem)}, status=problem.status)
    outcome = services.save(held=held, sent=sent.events, waiting=sent.waiting, who=held)
    return JsonResponse(outcome.as_json())


@login_not_required
@require_GET
def words(request: HttpRequest) -> HttpResponse:
    """The drawing in sentences, for a board that is read aloud."""
    held = hand_over_behind(request)
    if held is None or held.confirmed_at is None:
        return JsonResponse({"error": OVER}, status=403)
    return JsonResponse({"sentences": list(description_of(held.visit))})


@login_not_required
@require_GET
def areas(request: HttpRequest) -> HttpResponse:
    """After drawing: what is asked about each area, and where nothing is. Of the chart it shows nothing."""
    held = hand_over_behind(request)
    if held is None:
        return render(request, "handover/over.html", status=403)
    if held.confirmed_at is None:
        return redirect("board")
    page = asking.areas_page(held.visit, sitting_of(held), csrf=get_token(request))
    return render(request, "drawing/areas.html", {"page": page})


@login_not_required
@require_GET
def done(request: HttpRequest) -> HttpResponse:
    held = hand_over_behind(request)
    page = {"held": held, "back": _way_back(held) if held else "", "parts": ways_back(held) if held else ()}
    return render(request, "handover/done.html", page)


def _way_back(held: HandOver) -> str:
    """Where signing in leads: the visit, or the patient's page for who handed over without reading charts."""
    if may(held.given_by, "open chart"):
        return reverse("visit", args=[held.visit_id])
    return reverse("patient", args=[held.visit.patient_id])


@require_GET
def key(request: HttpRequest, hand_over_id: uuid.UUID) -> HttpResponse:
    """The device key of a hand-over again, for what it left unsent on this device."""
    held = queries.hand_over_of(staff(request), hand_over_id)
    record_look(who=staff(request), at=held.visit, as_="opened device key")
    return JsonResponse(sitting_of(held).device)


@require_POST
def rest(request: HttpRequest, hand_over_id: uuid.UUID) -> HttpResponse:
    """What a board left on this device when it was closed, sent by the staff who found it."""
    held = queries.hand_over_of(staff(request), hand_over_id)
    try:
        sent = drawn.read_sent(request)
    except drawn.UnreadableRequest as problem:
        return JsonResponse({"error": str(problem)}, status=problem.status)
    outcome = services.save(held=held, sent=sent.events, waiting=sent.waiting, who=staff(request))
    return JsonResponse(outcome.as_json())


@login_not_required
@require_GET
def offline(request: HttpRequest) -> HttpResponse:
    """The page that stands in for the board without a connection. The same for everybody."""
    return render(request, "handover/offline.html")


@login_not_required
@require_GET
def worker(request: HttpRequest) -> HttpResponse:
    """The script that shows it. Served from the board's own address, so that it reaches the board alone."""
    return render(request, "handover/worker.js", worker_words(), content_type="text/javascript")
