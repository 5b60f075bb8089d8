"""The two ways by which what a device could not send arrives later: see left_behind."""

import uuid

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_POST

from charting.drawing.forms import UnreadableRequest, read_sent
from charting.handover import queries as hand_overs
from charting.handover.access import hand_over_behind
from charting.handover.models import HandOver
from charting.intake.left_behind import take_late
from charting.staff.models import User
from charting.staff.requests import staff
from charting.telling.services import OVER


@login_not_required
@require_POST
def from_device(request: HttpRequest) -> HttpResponse:
    held = hand_over_behind(request)
    if held is None or held.confirmed_at is None:
        return JsonResponse({"error": OVER}, status=403)
    return _answer(request, held, held)


@require_POST
def from_staff(request: HttpRequest, hand_over_id: uuid.UUID) -> HttpResponse:
    """What was left on this device when it was closed, sent by the staff who found it."""
    held = hand_overs.hand_over_of(staff(request), hand_over_id)
    return _answer(request, held, staff(request))


def _answer(request: HttpRequest, held: HandOver, who: User | HandOver) -> HttpResponse:
    try:
        sent = read_sent(request)
    except UnreadableRequest as problem:
        return JsonResponse({"error": str(problem)}, status=problem.status)
    return JsonResponse(take_late(held=held, who=who, sent=sent.events))
