"""What the day page and the page about tablets may use."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, ClassVar

from django.conf import settings
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from charting.appointments.queries import day_of, still_expected
from charting.contacts.queries import OpenFollowUp, open_contact_follow_ups
from charting.entrance import trust
from charting.entrance.day import Day, sorted_day
from charting.entrance.trust import Device
from charting.flags.models import Decision
from charting.flags.queries import open_follow_ups
from charting.notes.amendments_queries import Asked, pending_requests
from charting.notes.cosign_queries import waiting_for
from charting.notes.models import SignedNote
from charting.staff.models import User
from charting.staff.rights import may
from charting.treatment.models import AdverseEvent
from charting.treatment.queries import open_reactions
from charting.visits.models import Visit
from charting.visits.queries import signed_visits, unsigned_visits


@dataclass(frozen=True)
class Due:
    """Something that is to be followed up on a day: a decision about a sign of danger, or a reaction."""

    on: date | None
    today: date

    @property
    def is_overdue(self) -> bool:
        return self.on is not None and self.on < self.today

    @property
    def is_today(self) -> bool:
        return self.on == self.today


@dataclass(frozen=True)
class DueDecision(Due):
    decision: Decision


@dataclass(frozen=True)
class DueReaction(Due):
    event: AdverseEvent


@dataclass(frozen=True)
class DueRequest(Due):
    """A request for amendment that nobody has decided about, or that is not entered yet."""

    asked: Asked


@dataclass(frozen=True)
class TodayPage:
    """The day list, what is to be followed up, what was signed last."""

    MOST: ClassVar[int] = 50
    MOST_SIGNED: ClassVar[int] = 5

    now: datetime
    day: date
    rows: Day
    # True: only what is with this person; None for who treats nobody and always sees the practice's.
    own: bool | None
    signed_last: tuple[Visit, ...]
    # Whether this person may read the chart, or only hand the device over.
    opens: bool
    may_end: bool
    due: tuple[DueDecision, ...]
    reactions: tuple[DueReaction, ...]
    contacts: tuple[OpenFollowUp, ...]
    requests: tuple[DueRequest, ...]
    # What trainees signed: to be co-signed by this person, or by somebody else.
    cosign: tuple[SignedNote, ...]
    may_cosign: bool
    may_grant: bool
    # Days before today on which somebody is still expected, the latest first.
    left_open: tuple[date, ...]

    @property
    def is_today(self) -> bool:
        return self.day == self.now.date()

    @property
    def is_past(self) -> bool:
        return self.day < self.now.date()

    @property
    def before(self) -> date:
        return self.day - timedelta(days=1)

    @property
    def after(self) -> date:
        return self.day + timedelta(days=1)

    @property
    def to_follow_up(self) -> bool:
        return bool(self.due or self.reactions or self.contacts or self.requests or self.cosign)


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


def today_page(user: User, day: date | None = None, *, own: bool = False) -> TodayPage:
    """The list of `day`, or of today. A fixed number of queries. Nothing is cut off from what is to be
    followed up, and that is always the whole practice's.
    """
    now = timezone.localtime(timezone=user.practice.zone) if user.practice else timezone.localtime()
    shown, own = day or now.date(), own and may(user, "treat")
    visits, signed = unsigned_visits(user).select_related("appointment"), signed_visits(user)
    if own:
        visits, signed = visits.filter(clinician=user), signed.filter(clinician=user)
    booked = day_of(user, shown, own=own)
    return TodayPage(
        now=now,
        day=shown,
        rows=sorted_day(shown, now, booked, visits[: TodayPage.MOST]),
        own=own if may(user, "treat") else None,
        signed_last=tuple(signed[: TodayPage.MOST_SIGNED]),
        opens=may(user, "open chart"),
        may_end=may(user, "log contacts"),
        cosign=waiting_for(user) if may(user, "sign") else (),
        may_cosign=may(user, "co-sign"),
        may_grant=may(user, "grant rights"),
        left_open=_left_open(user, now, own=own),
        **_to_follow_up(user, now.date()),
    )


def _to_follow_up(user: User, today: date) -> dict[str, Any]:
    """Six queries at most; none of contacts and requests for who opens no chart."""
    due = (DueDecision(each.follow_up_on, today, each) for each in open_follow_ups(user))
    reactions = (DueReaction(each.due, today, each.event) for each in open_reactions(user))
    contacts = open_contact_follow_ups(user) if may(user, "open chart") else ()
    asked = pending_requests(user) if may(user, "answer requests") else ()
    requests = tuple(DueRequest(each.due_on, today, each) for each in asked)
    return {"due": tuple(due), "reactions": tuple(reactions), "contacts": contacts, "requests": requests}


def _left_open(user: User, now: datetime, *, own: bool) -> tuple[date, ...]:
    start = datetime.combine(now.date(), time.min, now.tzinfo)
    left = still_expected(user, start, own=own)[: TodayPage.MOST]
    return tuple(dict.fromkeys(each.starts_at.astimezone(now.tzinfo).date() for each in left))


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
