"""What the review is about: the period, and what narrows it down."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from bodymaps import kinds, parts
from charting.patients.models import Patient
from charting.review.numbers import load
from charting.staff.models import User

MONTHS = 12


@dataclass(frozen=True, order=True)
class Month:
    """One month of the calendar, written "2026-03"."""

    year: int
    month: int

    @staticmethod
    def of(day: date) -> "Month":
        return Month(day.year, day.month)

    @staticmethod
    def read(text: str) -> "Month":
        """Raises ValueError."""
        year, month = text.split("-")
        return Month.of(date(int(year), int(month), 1))

    def later(self, months: int) -> "Month":
        number = 12 * self.year + self.month - 1 + months
        return Month(number // 12, number % 12 + 1)

    @property
    def key(self) -> str:
        return f"{self.year}-{self.month:02}"

    @property
    def words(self) -> str:
        return f"{date(self.year, self.month, 1):%B %Y}"

    def begins(self, zone: ZoneInfo) -> datetime:
        return datetime.combine(date(self.year, self.month, 1), time(), zone).astimezone(UTC)


@dataclass(frozen=True)
class AgeBand:
    """Whole years from `least` to `most`; None: from `least` on."""

    least: int
    most: int | None

    @property
    def words(self) -> str:
        if self.most is None:
            return f"{self.least} and older"
        return f"{self.least} to {self.most}" if self.least else f"under {self.most + 1}"

    def holds(self, age: int) -> bool:
        return self.least <= age and (self.most is None or age <= self.most)


def age_bands() -> tuple[AgeBand, ...]:
    starts = load().ages
    ends = [*(start - 1 for start in starts[1:]), None]
    return tuple(AgeBand(*each) for each in zip(starts, ends, strict=True))


@dataclass(frozen=True)
class Chosen:
    """Whole months, both included; every other member may be None for "all". `part`: a key of
    bodymaps.parts; `kind`: an id of bodymaps.kinds.
    """

    first: Month
    last: Month
    zone: ZoneInfo
    clinician: User | None = None
    part: str | None = None
    ages: AgeBand | None = None
    sex: str | None = None
    kind: str | None = None

    @property
    def start(self) -> datetime:
        return self.first.begins(self.zone)

    @property
    def end(self) -> datetime:
        """The first instant that is not in it any more."""
        return self.last.later(1).begins(self.zone)

    @property
    def is_narrowed(self) -> bool:
        """By something that the whole practice's counts do not follow."""
        return any((self.part, self.ages, self.sex, self.kind))

    @property
    def period(self) -> str:
        if self.first == self.last:
            return self.first.words
        return f"{self.first.words} to {self.last.words}"

    @property
    def lines(self) -> tuple[tuple[str, str], ...]:
        """(what, which) of all that narrows it down, to be read."""
        found = (
            ("Clinician", str(self.clinician) if self.clinician else ""),
            ("Region of the body", parts.part(self.part).label if self.part else ""),
            ("Age", self.ages.words if self.ages else ""),
            ("Sex", str(Patient.Sex(self.sex).label) if self.sex else ""),
            ("Kind of pain", kinds.kind(self.kind).label if self.kind else ""),
        )
        return tuple((what, which) for what, which in found if which)
