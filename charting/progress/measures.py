"""One measure over the visits of an episode: what is plotted, put in a table, summed up and frozen."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

LOWER, HIGHER = "lower", "higher"
BETTER = {LOWER: "lower is better", HIGHER: "higher is better", "": ""}


@dataclass(frozen=True)
class Value:
    """One number of one visit. `since`: how it compares with the first, "" for the first itself."""

    visit: UUID
    at: datetime
    number: float
    words: str
    since: str = ""


@dataclass(frozen=True)
class Judged:
    """One published rule that the change from first to last was held against; `met` is None where it can't
    be judged. `kind` ("Important change") and `size` ("2 points") are the rule in parts; `source`: who says
    so.
    """

    rule: str
    met: bool | None
    words: str
    kind: str = ""
    size: str = ""
    source: str = ""


@dataclass(frozen=True)
class Least:
    """The smallest change that means something: in points of the scale, in words ("4 points"), and which it
    is, with its source.
    """

    size: float
    away: str
    words: str


@dataclass(frozen=True)
class Measure:
    """`low` and `high`: the whole scale, whatever was scored. `better`: LOWER, HIGHER or "". `change`: the
    last value held against the first, in one sentence; `remark`: what is to be known of the numbers.
    """

    key: str
    title: str
    unit: str
    low: float
    high: float
    better: str
    values: tuple[Value, ...]
    least: Least | None = None
    change: str = ""
    judged: tuple[Judged, ...] = ()
    remark: str = ""

    @property
    def direction(self) -> str:
        return BETTER[self.better]

    @property
    def first(self) -> Value:
        return self.values[0]

    @property
    def last(self) -> Value:
        return self.values[-1]

    @property
    def is_course(self) -> bool:
        return len(self.values) > 1


def runs(values: Sequence[Value], visits: Sequence[UUID]) -> tuple[tuple[Value, ...], ...]:
    """Values of visits that follow each other directly: a line joins them, a visit without one cuts it."""
    known = {value.visit: value for value in values}
    found: list[list[Value]] = [[]]
    for visit in visits:
        if visit in known:
            found[-1].append(known[visit])
        elif found[-1]:
            found.append([])
    return tuple(tuple(run) for run in found if run)
