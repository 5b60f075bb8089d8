"""Between the password and being signed in: who still owes a code, and what happens when nothing is owed."""

import time
from dataclasses import asdict, dataclass

from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from charting.audit.services import record_look
from charting.handover.access import cookie_name
from charting.handover.services import take_back
from charting.staff import known_device, second_factor, sessions
from charting.staff.first_things import GAVE_FACTOR
from charting.staff.models import User

OWES_A_CODE = "owes_a_code"
# To find the authenticator and to type a code.
CODE_WITHIN_SECONDS = 10 * 60


@dataclass(frozen=True)
class PasswordGiven:
    """`is_for` fits the password that was given: a changed one asks for it again. `waiting`: what the device
    says it has not sent.
    """

    user_id: int
    is_for: str
    at: float
    next: str
    waiting: int | None

    @property
    def is_over(self) -> bool:
        return not 0 <= time.time() - self.at < CODE_WITHIN_SECONDS


def owes_a_code(request: HttpRequest, user: User) -> bool:
    factor = second_factor.factor_of(user)
    return factor is not None and not known_device.code_still_holds(request, user, factor)


def wait_for_code(request: HttpRequest, user: User, *, next: str, waiting: int | None) -> HttpResponse:
    """Remember who gave the password, in a session of a new key that opens nothing."""
    sessions.close(request.session.session_key)
    request.session.flush()
    given = PasswordGiven(user.pk, user.get_session_auth_hash(), time.time(), next, waiting)
    request.session[OWES_A_CODE] = asdict(given)
    return redirect("sign-in-code")


def password_given(request: HttpRequest) -> tuple[User, PasswordGiven] | None:
    """Who gave the password here and owes a code; None for nobody, or after too long."""
    said = request.session.get(OWES_A_CODE)
    given = PasswordGiven(**said) if said else None
    if given is None or given.is_over:
        return None
    user = User.objects.select_related("practice").filter(pk=given.user_id, is_active=True).first()
    if user is None or user.get_session_auth_hash() != given.is_for:
        return None
    return user, given


def let_in(
    request: HttpRequest, user: User, *, next: str, waiting: int | None, gave_code: bool
) -> HttpResponse:
    """Sign in; on a device that a patient holds, that also takes the device back."""
    sessions.close(request.session.session_key)
    request.session.pop(OWES_A_CODE, None)
    login(request, user)
    if second_factor.factor_of(user):
        request.session[GAVE_FACTOR] = True
    take_back(who=user, token=request.COOKIES.get(cookie_name(), ""), waiting=waiting)
    record_look(who=user, at=user, as_="signed in")
    response = redirect(next)
    response.delete_cookie(cookie_name(), samesite="Strict")
    known_device.remember(request, response, user, gave_code=gave_code)
    return response
