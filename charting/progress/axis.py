"""Time to scale: where an instant stands on an axis, which dates are written below it, and how pictures that
would cover each other are lifted.

Distances are those of elapsed time, whatever the calendar or the clock of a zone does in between.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import count
from zoneinfo import ZoneInfo

# An axis is never shorter than this, so that two visits of one week do not look like months.
SHORTEST = timedelta(days=14)
# As many dates as can be read side by side.
MOST_TICKS = 9
WEEKS = (1, 2)
MONTHS = (1, 2, 3, 6, 12, 24, 60)


@dataclass(frozen=True)
class Tick:
    """One date written below the axis: midnight of that day in the practice's zone."""

    at: datetime
    x: float
    words: str


@dataclass(frozen=True)
class Axis:
    """From `start` to `end` (aware), drawn from `left` to `right`."""

    start: datetime
    end: datetime
    left: float
    right: float

    @staticmethod
    def over(instants: Iterable[datetime], left: float, right: float) -> "Axis":
        """The axis that holds every instant; from the first one. Raises ValueError without any."""
        known = [at.astimezone(UTC) for at in instants]
        if not known:
            raise ValueError("An axis needs at least one instant.")
        return Axis(min(known), max(max(known), min(known) + SHORTEST), left, right)

    def x(self, at: datetime) -> float:
        """Where it stands; an instant outside lies outside."""
        return self.left + (at - self.start) / (self.end - self.start) * (self.right - self.left)

    def holds(self, at: datetime) -> bool:
        return self.start <= at <= self.end

    def ticks(self, zone: ZoneInfo) -> tuple[Tick, ...]:
        """Weeks, months or years, as many as can be read; each at its own midnight."""
        return next(found for found in self._choices(zone) if len(found) <= MOST_TICKS)

    def _choices(self, zone: ZoneInfo) -> Iterator[tuple[Tick, ...]]:
        first, last = (at.astimezone(zone).date() for at in (self.start, self.end))
        for weeks in WEEKS:
            step = timedelta(weeks=weeks)
            days = [first + number * step for number in range((last - first) // step + 1)]
            yield self._written(days, zone, "{0.day} {0:%b}")
        for months in MONTHS:
            yield self._written(_firsts(first, last, months), zone, _month_words(months))
        for years in count(10, 10):
            yield self._written(_firsts(first, last, 12 * years), zone, "{0.year}")

    def _written(self, days: Iterable[date], zone: ZoneInfo, form: str) -> tuple[Tick, ...]:
        midnights = [(day, datetime.combine(day, time(), zone)) for day in days]
        # The first day began before the first visit: its date still stands below it.
        placed = [(day, max(at, self.start)) for day, at in midnights]
        return tuple(Tick(at, self.x(at), form.format(day)) for day, at in placed if self.holds(at))


def _month_words(months: int) -> str:
    return "{0:%b} {0.year}" if months < 12 else "{0.year}"


def _firsts(first: date, last: date, months: int) -> list[date]:
    """The first day of every so many months, counted from January, from `first` on."""
    number = 12 * first.year + first.month - 1 + (first.day > 1)
    number += -number % months
    found = []
    while (day := date(number // 12, number % 12 + 1, 1)) <= last:
        found.append(day)
        number += months
    return found


def lanes(places: Sequence[float], width: float) -> tuple[int, ...]:
    """The lane of each picture of that width, 0 the lowest: the first in which it covers no other.

    `places` are their middles in rising order. Every picture stays above its own place.
    """
    ends: list[float] = []
    found = []
    for place in places:
        lane = next((number for number, end in enumerate(ends) if place - width / 2 >= end), len(ends))
        ends[lane : lane + 1] = [place + width / 2]
        found.append(lane)
    return tuple(found)
