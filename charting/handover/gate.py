"""While the patient holds the device, nothing of the practice opens on it."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from charting.handover.access import cookie_name

# The board itself, what it is drawn with, and the way back for the clinician.
OPEN_TO_PATIENT = ("/board/", "/static/", "/sign-in/", "/healthz", "/readyz")


class PatientHoldsTheDevice:
    """Refuses every staff address on a device that carries a board token.

    The staff session was ended at hand-over; this refuses even if one turned up again, so that
    neither a typed address, the Back button nor an htmx call shows a chart. Signing in takes
    the token away (handover.services.take_back).
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.COOKIES.get(cookie_name()) and not request.path.startswith(OPEN_TO_PATIENT):
            return render(request, "handover/with_patient.html", status=403)
        return self.get_response(request)
