"""Needles that went in and came out again: equal, not all counted yet, or unequal."""

from collections.abc import Iterable
from dataclasses import dataclass

from charting.treatment.models import TreatmentEntry

# Of one entry: no needles; still in, or not counted; as many out as in; another number.
NONE, TO_COUNT, EQUAL, UNEQUAL = "none", "to count", "equal", "unequal"


@dataclass(frozen=True)
class Needles:
    """Of a visit: how many went in, how many were counted out, and the entries that are not settled."""

    count_in: int
    count_out: int
    to_count: tuple[TreatmentEntry, ...]
    unequal: tuple[TreatmentEntry, ...]

    @property
    def is_any(self) -> bool:
        return bool(self.count_in)

    @property
    def is_settled(self) -> bool:
        """Whether every needle that went in was counted out, no more and no fewer, entry by entry."""
        return not self.to_count and not self.unequal


def state_of(row: TreatmentEntry) -> str:
    """NONE, TO_COUNT, EQUAL or UNEQUAL."""
    said = row.needles
    if not said:
        return NONE
    if said.get("count_out") is None:
        return TO_COUNT
    return EQUAL if said["count_out"] == said["count_in"] else UNEQUAL


def needles_in(rows: Iterable[TreatmentEntry]) -> Needles:
    """What the entries of one visit make together."""
    needled = [row for row in rows if row.needles]
    return Needles(
        count_in=sum(row.needles["count_in"] for row in needled),
        count_out=sum(row.needles.get("count_out") or 0 for row in needled),
        to_count=tuple(row for row in needled if state_of(row) == TO_COUNT),
        unequal=tuple(row for row in needled if state_of(row) == UNEQUAL),
    )
