"""What the difference of two readings means beside the published error of measurement.

Only readings with the same instrument are compared. A difference counts as more than error only when it is
above every published figure for movement and instrument, and as error only below every one of them, because
the studies measured other people, with more and with less care. The confidence level is always said.
"""

from __future__ import annotations

from dataclasses import dataclass

from bodymaps.reasoning.ranges import Change, Movement

SAME, WITHIN, UNSURE, BEYOND = "same", "within", "unsure", "beyond"
NO_FIGURE, OTHER_INSTRUMENT = "no_figure", "other_instrument"
MEANING = {
    WITHIN: "within error of measurement",
    UNSURE: "may be error of measurement",
    BEYOND: "more than error of measurement",
}
WITHOUT_FIGURE = "no figure for the error of measurement with this instrument"


@dataclass(frozen=True)
class Reading:
    """A number in the unit of its movement, and the id of the instrument, "" when it is not known."""

    value: float
    instrument: str


@dataclass(frozen=True)
class Compared:
    """`difference`: the second reading less the first, None when they are not compared. `verdict`: SAME,
    WITHIN, UNSURE, BEYOND, NO_FIGURE or OTHER_INSTRUMENT. `figures`: what it was held against.
    """

    verdict: str
    difference: float | None
    words: str
    figures: tuple[Change, ...] = ()

    @property
    def is_beyond(self) -> bool:
        return self.verdict == BEYOND


def since(movement: Movement, how: str, then: Reading, now: Reading) -> Compared:
    """What changed from an earlier visit: "12° less, more than error of measurement (least change ...)"."""
    return _compared(movement, how, then, now, ("more", "less"))


def between_sides(movement: Movement, how: str, right: Reading, left: Reading) -> Compared:
    """How the sides differ, seen from the right: "right 12° less than left, ..."."""
    told = _compared(movement, how, left, right, ("more than left", "less than left"))
    words = "sides alike" if told.verdict == SAME else f"right {told.words}"
    return Compared(told.verdict, told.difference, words, told.figures)


def figures_in_words(movement: Movement, figures: tuple[Change, ...]) -> str:
    """ "least change 5.4 to 9.6°, 90 %" """
    low, high = min(each.lower for each in figures), max(each.value for each in figures)
    span = movement.with_unit(high) if low == high else f"{low:g} to {movement.with_unit(high)}"
    levels = dict.fromkeys(
        "level not stated" if each.level == "not stated" else each.level for each in figures
    )
    return f"least change {span}, {', '.join(levels)}"


def _compared(
    movement: Movement, how: str, first: Reading, second: Reading, more_less: tuple[str, str]
) -> Compared:
    if first.instrument != second.instrument or not first.instrument:
        return Compared(OTHER_INSTRUMENT, None, "read with another instrument: not compared")
    difference = round(second.value - first.value, 2)
    figures = movement.changes_with(second.instrument, how)
    if difference == 0:
        return Compared(SAME, difference, "the same", figures)
    said = f"{movement.with_unit(abs(difference))} {more_less[0] if difference > 0 else more_less[1]}"
    if not figures:
        return Compared(NO_FIGURE, difference, f"{said}; {WITHOUT_FIGURE}")
    verdict = _verdict(abs(difference), figures)
    words = f"{said}, {MEANING[verdict]} ({figures_in_words(movement, figures)})"
    return Compared(verdict, difference, words, figures)


def _verdict(difference: float, figures: tuple[Change, ...]) -> str:
    if difference < min(each.lower for each in figures):
        return WITHIN
    return BEYOND if difference > max(each.value for each in figures) else UNSURE
