"""Every row of the trail says which device it came from."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from charting.audit.where import asked_from
from charting.staff.requests import address_of


class AskedFrom:
    """Keeps the address of the device for the time of its request."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with asked_from(address_of(request)):
            return self.get_response(request)
