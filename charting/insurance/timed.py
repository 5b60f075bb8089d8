"""The time of one visit as an insurer reads it: in and out per procedure, timed minutes, units."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from charting.insurance import units
from charting.insurance.models import Payer
from charting.treatment.models import TreatmentEntry


@dataclass(frozen=True)
class Time:
    """`timed`: entries whose minutes count, in their order; `minutes`: theirs added. `units` is None where
    the payer counts none. `without_minutes`, `without_clock`: the timed entries that lack them;
    `overlaps`: pairs of timed entries that ran at the same time.
    """

    timed: tuple[TreatmentEntry, ...]
    minutes: int
    units: int | None
    without_minutes: tuple[TreatmentEntry, ...]
    without_clock: tuple[TreatmentEntry, ...]
    overlaps: tuple[tuple[TreatmentEntry, TreatmentEntry], ...]


def time_of(entries: Iterable[TreatmentEntry], payer: Payer | None) -> Time:
    """From the entries of one visit, in their order. No query."""
    timed = tuple(row for row in entries if units.load().counts(row.technique))
    minutes = sum(row.minutes or 0 for row in timed)
    in_units = payer is not None and payer.units == Payer.Units.EIGHT_MINUTES
    return Time(
        timed=timed,
        minutes=minutes,
        units=units.load().units_of(minutes) if in_units else None,
        without_minutes=tuple(row for row in timed if row.minutes is None),
        without_clock=tuple(row for row in timed if row.began_at is None or row.ended_at is None),
        overlaps=tuple(_overlaps(timed)),
    )


def _overlaps(rows: Sequence[TreatmentEntry]) -> Iterator[tuple[TreatmentEntry, TreatmentEntry]]:
    """One clinician can give one procedure at a time: where one ends the next may begin."""
    clocked = [(row.began_at, row.ended_at, row) for row in rows if row.began_at and row.ended_at]
    for number, (began, ended, row) in enumerate(clocked):
        for later_began, later_ended, other in clocked[number + 1 :]:
            if began < later_ended and later_began < ended:
                yield row, other
