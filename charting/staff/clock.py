"""Every time on a page is the practice's own."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from charting.staff.models import User


class PracticeClock:
    """Shows times in the zone of the signed-in person's practice."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        practice = request.user.practice if isinstance(request.user, User) else None
        with timezone.override(practice.zone if practice else None):
            return self.get_response(request)
