"""What the pages of one's own account may use."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import ClassVar

import segno
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from charting.audit.models import AuditEntry
from charting.staff import away, second_factor, sessions, tries
from charting.staff import second_factor_secret as kept
from charting.staff.models import SecondFactor, StaffSession, User

LOOKED_BACK = timedelta(days=30)


@dataclass(frozen=True)
class Running:
    """One place where one is signed in; `is_here`: the one that asks."""

    row: StaffSession
    is_here: bool


@dataclass(frozen=True)
class WrongTry:
    """A wrong password or code that was given under one's own name."""

    at: datetime
    was_code: bool
    address: str


@dataclass(frozen=True)
class AccountPage:
    """Where one is signed in, what one signs in with, and who else tried."""

    MOST_TRIES: ClassVar[int] = 5

    running: tuple[Running, ...]
    factor: SecondFactor | None
    codes_left: int
    is_required: bool
    wrong: tuple[WrongTry, ...]
    idle_minutes: int = away.IDLE_SECONDS // 60
    longest_hours: int = away.LONGEST_SECONDS // 3600

    @property
    def elsewhere(self) -> bool:
        return any(not each.is_here for each in self.running)


@dataclass(frozen=True)
class SetUpPage:
    """The secret of an authenticator to be: to scan, to type, and sealed for the form that sends it back."""

    sealed: str
    qr: SafeString
    typed: str
    is_first: bool
    is_required: bool


def account_page(user: User, session_key: str | None) -> AccountPage:
    rows = sessions.running(user)
    return AccountPage(
        running=tuple(Running(row, row.session_key == session_key) for row in rows),
        factor=second_factor.factor_of(user),
        codes_left=second_factor.codes_left(user),
        is_required=second_factor.is_required(user),
        wrong=_wrong_tries(user),
    )


def set_up_page(user: User, sealed: str, *, is_first: bool) -> SetUpPage:
    """Raises ValidationError for a sealed secret that is not this person's, or was made too long ago."""
    secret = second_factor.secret_in(sealed, user)
    practice = user.practice.name if user.practice else ""
    address = kept.address_to_scan(secret, username=user.username, practice=practice)
    return SetUpPage(
        sealed=sealed,
        qr=_svg(address),
        typed=kept.to_type(secret),
        is_first=is_first,
        is_required=second_factor.is_required(user),
    )


def _svg(address: str) -> SafeString:
    """The code as inline SVG, with nothing of the secret in it but its squares."""
    made = segno.make(address, error="m", boost_error=False, micro=False)
    svg = made.svg_inline(border=4, omitsize=True, svgclass="qr", lineclass=None, light="#fff")
    return mark_safe(svg)  # noqa: S308 - made by segno


def _wrong_tries(user: User) -> tuple[WrongTry, ...]:
    rows = AuditEntry.objects.filter(
        object_type="user",
        object_id=str(user.pk),
        action__in=(tries.WRONG_AT_SIGN_IN, tries.WRONG_CODE),
        at__gt=timezone.now() - LOOKED_BACK,
    ).order_by("-at")[: AccountPage.MOST_TRIES]
    return tuple(WrongTry(row.at, row.action == tries.WRONG_CODE, row.address) for row in rows)
