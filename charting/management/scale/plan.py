"""Who comes when: the visits of a whole practice laid out before anything is written."""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from charting.management.scale.sizes import Sizes

OPENS, HOURS = 8, 10
MINUTES = 30
WEEKS_APART = (1, 1, 1, 2, 2, 3)
WORKING_DAYS = 5


@dataclass(frozen=True, order=True)
class Coming:
    """One visit: when, and the places of person and clinician in their lists."""

    at: datetime
    person: int
    clinician: int


def comings(sizes: Sizes, today: date, zone: ZoneInfo, dice: random.Random) -> list[Coming]:
    """Every visit before today, the earliest first. Nobody comes twice in a week."""
    planned = (one for person in range(sizes.patients) for one in _of(person, sizes, today, zone, dice))
    return sorted(planned)


def _of(person: int, sizes: Sizes, today: date, zone: ZoneInfo, dice: random.Random) -> Iterator[Coming]:
    count = sizes.visits // sizes.patients + (person < sizes.visits % sizes.patients)
    apart = [dice.choice(WEEKS_APART) for _ in range(count - 1)]
    weeks = max(sizes.years * 52 - sum(apart), 1)
    week, clinician = dice.randint(1, weeks), dice.randrange(sizes.clinicians)
    monday = today - timedelta(days=today.weekday())
    for step in [*apart, 0]:
        day = monday - timedelta(weeks=week + sum(apart), days=-dice.randrange(WORKING_DAYS))
        week -= step
        yield Coming(_slot(day, zone, dice), person, clinician)


def _slot(day: date, zone: ZoneInfo, dice: random.Random) -> datetime:
    clock = time(OPENS + dice.randrange(HOURS), MINUTES * dice.randrange(2))
    return datetime.combine(day, clock, zone)
