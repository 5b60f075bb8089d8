"""What every screen on a handed-over device has in common: who holds it, and how it is answered."""

import json

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse

from charting.drawing.device import key_of
from charting.handover.models import HandOver


def wants_json(request: HttpRequest) -> bool:
    """Whether the script asks, and not the browser."""
    return "application/json" in request.headers.get("Accept", "")


def over(request: HttpRequest, words: str) -> HttpResponse:
    """Nothing can be answered on this device any more."""
    if wants_json(request):
        return JsonResponse({"error": words}, status=403)
    return render(request, "telling/over.html", status=403)


def keeping(held: HandOver) -> str:
    """JSON of what the script needs to keep, sealed, what could not be sent: see static/js/draw/keep.js.
    Another holder than that of the drawing, for it goes to other addresses.
    """
    told = {
        "holder": f"told-{held.pk}",
        "key": key_of(held.pk),
        "key_url": reverse("hand-over-key", args=[held.pk]),
        "save_url": reverse("hand-over-late", args=[held.pk]),
        "late_url": reverse("board-late"),
    }
    return json.dumps(told)
