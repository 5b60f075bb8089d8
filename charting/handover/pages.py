"""What staff are told about a device that was given away."""

from dataclasses import dataclass
from datetime import datetime, tzinfo

from django.utils import timezone

from charting.drawing.models import DrawnBy
from charting.handover import queries
from charting.handover.models import HandOver
from charting.visits.models import Visit


@dataclass(frozen=True)
class HandOverState:
    """One hand-over as it stands. Times read like "10:02", with the day when it was not today; "" for never.

    `waiting`: entries that the device said it had not sent. `back`: when it was given back. `ran_out`: when
    its time was over without that. `helper`: who draws for the patient, in their own words.
    """

    since: str
    heard: str
    back: str
    ran_out: str
    waiting: int
    helper: str
    is_confirmed: bool
    is_denied: bool

    @property
    def is_running(self) -> bool:
        return not (self.back or self.ran_out)

    @property
    def is_well(self) -> bool:
        """Over, and nothing is left to be told."""
        return bool(self.back) and not self.waiting and not self.is_denied


def states_of(visit: Visit) -> tuple[HandOverState, ...]:
    """The latest hand-over, unless it is over and all is well; then earlier ones that left something."""
    states = [_state(visit, row) for row in queries.hand_overs_of(visit)]
    latest = [state for state in states[:1] if not state.is_well]
    return (*latest, *(state for state in states[1:] if state.waiting))


def _state(visit: Visit, row: HandOver) -> HandOverState:
    zone, now = visit.patient.practice.zone, timezone.now()
    ran_out = row.ended_at is None and row.expires_at <= now
    return HandOverState(
        since=_clock(row.given_at, zone, now),
        heard=_clock(row.heard_at, zone, now),
        back=_clock(row.ended_at, zone, now),
        ran_out=_clock(row.expires_at, zone, now) if ran_out else "",
        waiting=row.waiting,
        helper=row.helper if row.drawn_by == DrawnBy.HELPER else "",
        is_confirmed=row.confirmed_at is not None,
        is_denied=row.denied_at is not None,
    )


def _clock(at: datetime | None, zone: tzinfo, now: datetime) -> str:
    if at is None:
        return ""
    local = at.astimezone(zone)
    is_today = local.date() == now.astimezone(zone).date()
    return f"{local:%H:%M}" if is_today else f"{local.day} {local:%B %Y}, {local:%H:%M}"
