"""The signed-in member of staff behind a request."""

from typing import cast

from django.http import HttpRequest

from charting.staff.models import User


def staff(request: HttpRequest) -> User:
    """The user; LoginRequiredMiddleware has made sure that there is one."""
    return cast(User, request.user)
