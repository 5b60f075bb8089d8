"""What the day page and the page about tablets may use."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar

from django.conf import settings
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from charting.contacts.queries import OpenFollowUp, open_contact_follow_ups
from charting.entrance import trust
from charting.entrance.trust import Device
from charting.flags.models import Decision
from charting.flags.queries import open_follow_ups
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.models import Visit
from charting.visits.queries import signed_visits, unsigned_visits


@dataclass(frozen=True)
class Due:
    """A decision about a sign of danger that is to be followed up."""

    decision: Decision
    today: date

    @property
    def is_overdue(self) -> bool:
        return self.decision.follow_up_on is not None and self.decision.follow_up_on < self.today

    @property
    def is_today(self) -> bool:
        return self.decision.follow_up_on == self.today


@dataclass(frozen=True)
class TodayPage:
    """The day: what is to be followed up, what is open and to be finished."""

    MOST: ClassVar[int] = 50
    MOST_SIGNED: ClassVar[int] = 5

    now: datetime
    open_visits: tuple[Visit, ...]
    signed_last: tuple[Visit, ...]
    # Whether this person may read the chart, or only hand the device over.
    opens: bool
    due: tuple[Due, ...]
    contacts: tuple[OpenFollowUp, ...]


@dataclass(frozen=True)
class TabletPage:
    """How a tablet comes in: `urls` is empty when this server listens on its own machine only."""

    urls: tuple[str, ...]
    # Behind a web server with a certificate of its own there is nothing to trust first.
    is_secure: bool
    qr: SafeString
    fingerprint: tuple[str, ...]
    devices: tuple[Device, ...]
    without_trust: str = trust.WITHOUT_TRUST


def today_page(user: User) -> TodayPage:
    """A fixed number of queries. Nothing is cut off from what is to be followed up."""
    now = timezone.localtime(timezone=user.practice.zone) if user.practice else timezone.localtime()
    opens = may(user, "open chart")
    return TodayPage(
        now=now,
        open_visits=tuple(unsigned_visits(user)[: TodayPage.MOST]),
        signed_last=tuple(signed_visits(user)[: TodayPage.MOST_SIGNED]),
        opens=opens,
        due=tuple(Due(decision, now.date()) for decision in open_follow_ups(user)),
        contacts=open_contact_follow_ups(user) if opens else (),
    )


def tablet_page() -> TabletPage:
    urls = tuple(settings.TABLET_URLS)
    made = trust.certificate()
    return TabletPage(
        urls=urls,
        is_secure=settings.TLS,
        qr=_svg(urls[0]) if urls else SafeString(),
        fingerprint=trust.fingerprint(made) if made else (),
        devices=trust.devices(),
    )


def _svg(url: str) -> SafeString:
    """The code as inline SVG, with nothing of the address in it but its squares."""
    made = trust.qr(url).svg_inline(border=4, omitsize=True, svgclass="qr", lineclass=None, light="#fff")
    return mark_safe(made)  # noqa: S308 - made by segno from an address of our own
