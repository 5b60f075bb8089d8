"""The clock of the invented courses: a step of a course is written at the moment the course says.

Honest for invented data only. What a record says about time is worth something because nobody can set it; so
this is used by `seed_courses` alone, in the demo practice alone, in a process of its own, and the audit trail
says at the true time which courses were written so (courses.WRITTEN). Never in the process of a server.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from unittest import mock
from zoneinfo import ZoneInfo

SATURDAY, SUNDAY = 5, 6


class Clock:
    """Stands at one moment until it is moved. Days are counted back from `today` by the clock of a place."""

    def __init__(self, today: date, zone: ZoneInfo) -> None:
        self.today, self.zone = today, zone
        self.moment = datetime.combine(today, time(), zone)

    def at(self, days_ago: int, clock: str) -> datetime:
        """That time ("09:30"), `days_ago` days before today."""
        return datetime.combine(self.today - timedelta(days=days_ago), time.fromisoformat(clock), self.zone)

    def working(self, days_ago: int, clock: str) -> datetime:
        """The same on a day the practice is open: of a weekend the Friday before or the Monday after. Today
        stays today.
        """
        day = (self.today - timedelta(days=days_ago)).weekday()
        shift = {SATURDAY: 1, SUNDAY: -1}.get(day, 0) if days_ago else 0
        return self.at(days_ago + shift, clock)

    def set(self, moment: datetime) -> None:
        self.moment = moment

    def forward(self, minutes: int) -> None:
        self.moment += timedelta(minutes=minutes)

    @contextmanager
    def running(self) -> Iterator["Clock"]:
        """Until its end, what asks django for the time hears this clock."""
        with mock.patch("django.utils.timezone.now", lambda: self.moment.astimezone(ZoneInfo("UTC"))):
            yield self
