"""What somebody does before anything else opens: choose a password of their own, set up a second factor."""

from collections.abc import Callable

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve, reverse
from django.utils.http import urlencode

from charting.staff import second_factor
from charting.staff.models import User
from charting.staff.requests import staff

# In the session of who gave a code, or whose device was spared it.
GAVE_FACTOR = "second_factor"
ALWAYS_OPEN = frozenset(
    {
        *("sign-in", "sign-in-code", "sign-out", "account-password", "second-factor"),
        *("session-left", "session-stay", "authority", "healthz", "readyz"),
    }
)


class FirstThings:
    """Leads to the page where it is done, whatever was asked for."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        first = first_thing(request)
        if not first or _name_of(request.path_info) in ALWAYS_OPEN:
            return self.get_response(request)
        if first == "second-factor" and second_factor.factor_of(staff(request)):
            # There is one, and this session began without it: it begins anew.
            logout(request)
            first = "sign-in"
        return _lead_to(request, reverse(first))


def first_thing(request: HttpRequest) -> str:
    """The name of the page that comes first; "" when everything is open."""
    user = request.user
    if not isinstance(user, User):
        return ""
    if user.must_change_password:
        return "account-password"
    is_missing = second_factor.is_required(user) and not request.session.get(GAVE_FACTOR)
    return "second-factor" if is_missing else ""


def _lead_to(request: HttpRequest, page: str) -> HttpResponse:
    if request.headers.get("HX-Request"):
        return HttpResponse(status=204, headers={"HX-Redirect": page})
    back = {"next": request.get_full_path()} if request.method == "GET" and request.path != "/" else {}
    return redirect(f"{page}?{urlencode(back)}" if back else page)


def _name_of(path: str) -> str:
    try:
        return resolve(path).url_name or ""
    except Resolver404:
        return ""
