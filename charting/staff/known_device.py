"""The device remembers, in a signed cookie, who signed in on it.

Two things follow. Wrong passwords of a person on a device that is known to be theirs are counted by
themselves, so that nobody else can keep them out (OWASP: "Slow Down Online Guessing Attacks with Device
Cookies"). And for 12 hours such a device is not asked for the code again: it comes back from patients many
times a day. Neither lets anybody in without the password.
"""

import secrets
import time
from dataclasses import dataclass, field

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import constant_time_compare, salted_hmac

from charting.staff import second_factor
from charting.staff.models import SecondFactor, User

SALT = "charting.staff.known_device"
KNOWN_FOR_SECONDS = 180 * 24 * 60 * 60
CODE_HOLDS_SECONDS = 12 * 60 * 60
# On a tablet that everybody uses, those who came last.
MOST_PEOPLE = 12


@dataclass(frozen=True)
class Known:
    """`people`: who signed in here, by id, the last first; each with when a code was given (seconds since
    1970, 0: never) and the mark of the factor that it was.
    """

    device: str = ""
    people: dict[str, tuple[int, str]] = field(default_factory=dict)

    def with_person(self, user_id: int, given: tuple[int, str]) -> "Known":
        others = [item for item in self.people.items() if item[0] != str(user_id)][: MOST_PEOPLE - 1]
        return Known(self.device or secrets.token_urlsafe(12), {str(user_id): given, **dict(others)})


def cookie_name() -> str:
    """Over TLS bound to this server: browsers take that name only with Secure, path "/" and no domain."""
    return "__Host-device" if settings.TLS else "device"


def known(request: HttpRequest) -> Known:
    """What this device remembers; nothing when the cookie is not one of ours, or too old."""
    try:
        said = signing.loads(request.COOKIES.get(cookie_name(), ""), salt=SALT, max_age=KNOWN_FOR_SECONDS)
    except signing.BadSignature:
        return Known()
    return Known(said["d"], {who: (given, mark) for who, given, mark in said["p"]})


def device_of(request: HttpRequest, user_id: int | None) -> str:
    """The name by which this device is counted for this person; "" for one that is not known to be theirs."""
    here = known(request)
    return here.device if user_id is not None and str(user_id) in here.people else ""


def code_still_holds(request: HttpRequest, user: User, factor: SecondFactor) -> bool:
    """Whether this person gave a code of this very factor here within 12 hours, with the password of now."""
    given, mark = known(request).people.get(str(user.pk), (0, ""))
    is_lately = 0 <= time.time() - given < CODE_HOLDS_SECONDS
    return is_lately and constant_time_compare(mark, _mark(user, factor))


def remember(request: HttpRequest, response: HttpResponse, user: User, *, gave_code: bool) -> None:
    """Write into the cookie that this person signed in here. `gave_code`: just now, and not within the time
    that an earlier one holds.
    """
    before = known(request)
    given = before.people.get(str(user.pk), (0, ""))
    if gave_code and (factor := second_factor.factor_of(user)):
        given = (int(time.time()), _mark(user, factor))
    after = before.with_person(user.pk, given)
    people = [[who, *each] for who, each in after.people.items()]
    response.set_cookie(
        cookie_name(),
        signing.dumps({"d": after.device, "p": people}, salt=SALT),
        max_age=KNOWN_FOR_SECONDS,
        secure=settings.TLS,
        httponly=True,
        samesite="Strict",
    )


def _mark(user: User, factor: SecondFactor) -> str:
    """Another one after the factor or the password was changed, or a session was ended from elsewhere."""
    return salted_hmac(SALT, f"{user.password}:{bytes(factor.secret).hex()}").hexdigest()[:16]
