"""Plots as plain values for SVG: every number a string with a dot, whatever the language setting.

All plots of a page share one axis. What they show is told apart by shape and dashes, never by colour.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from charting.progress.axis import Axis
from charting.progress.events import Happened
from charting.progress.measures import Measure, Value, runs

WIDTH = 1000
LEFT, RIGHT = 90.0, 945.0
TOP, BOTTOM = 26.0, 136.0
HEIGHT = 172
# Upright lines over the whole height, at most; the height of a short one.
MOST_LINES, SHORT = 24, 12
# Rows of a table below a plot before it is laid in columns.
ROWS = 12
# Numbers beside dots that stand nearer than this would cover each other.
LABEL_ROOM = 34.0
# A number above its dot, or below it where the line comes from above.
ABOVE, BELOW = -10.0, 24.0


@dataclass(frozen=True)
class Step:
    """A line across at a value of the scale, with the value to its left."""

    y: str
    words: str


@dataclass(frozen=True)
class Mark:
    """A vertical mark at a date; `words` say what happened then."""

    x: str
    words: str


@dataclass(frozen=True)
class Written:
    """A date below the axis."""

    x: str
    words: str


@dataclass(frozen=True)
class Dot:
    """One value; `label` is "" where there is no room for the number."""

    x: str
    y: str
    label_y: str
    label: str
    words: str


@dataclass(frozen=True)
class Band:
    """Less change than this says nothing."""

    y: str
    height: str
    end: str


@dataclass(frozen=True)
class Plot:
    """One measure as it is drawn; `words` tell it to somebody who can't see it."""

    measure: Measure
    title: str
    words: str
    steps: tuple[Step, ...]
    dates: tuple[Written, ...]
    treated: tuple[Mark, ...]
    reactions: tuple[Mark, ...]
    band: Band | None
    lines: tuple[str, ...]
    dots: tuple[Dot, ...]

    @property
    def treated_top(self) -> str:
        """Lines over the whole height; short ones where so many would hide the dots."""
        return number(TOP if len(self.treated) <= MOST_LINES else BOTTOM - SHORT)

    @property
    def is_long(self) -> bool:
        """More rows than stand well below a plot in one column."""
        return len(self.measure.values) > ROWS

    @property
    def has_since(self) -> bool:
        return any(value.since for value in self.measure.values)


def plot(
    measure: Measure,
    *,
    axis: Axis,
    zone: ZoneInfo,
    visits: Sequence[UUID],
    treated: Sequence[Happened],
    reactions: Sequence[Happened],
) -> Plot:
    """The plot of a measure; `visits` in order of time, those without a value too."""
    return Plot(
        measure=measure,
        title=", ".join(filter(None, (measure.title, measure.direction))),
        words=_words(measure, zone),
        steps=_steps(measure),
        dates=dates(axis, zone),
        treated=marks(axis, treated),
        reactions=marks(axis, reactions),
        band=_band(measure),
        lines=tuple(_line(measure, axis, run) for run in runs(measure.values, visits) if len(run) > 1),
        dots=_dots(measure, axis, zone),
    )


def marks(axis: Axis, happened: Sequence[Happened]) -> tuple[Mark, ...]:
    return tuple(Mark(number(axis.x(each.at)), each.words) for each in happened if axis.holds(each.at))


def dates(axis: Axis, zone: ZoneInfo) -> tuple[Written, ...]:
    return tuple(Written(number(tick.x), tick.words) for tick in axis.ticks(zone))


def number(value: float) -> str:
    return format(value, ".1f").removesuffix(".0")


def day(at: datetime, zone: ZoneInfo) -> str:
    """4 May 2026"""
    local = at.astimezone(zone)
    return f"{local.day} {local:%B} {local.year}"


def _y(measure: Measure, value: float) -> float:
    within = min(max(value, measure.low), measure.high)
    return BOTTOM - (within - measure.low) / (measure.high - measure.low) * (BOTTOM - TOP)


def _steps(measure: Measure) -> tuple[Step, ...]:
    middle = (measure.low + measure.high) / 2
    return tuple(Step(number(_y(measure, at)), f"{at:g}") for at in (measure.low, middle, measure.high))


def _band(measure: Measure) -> Band | None:
    if measure.least is None or not measure.values:
        return None
    from_, to = measure.first.number - measure.least.size, measure.first.number + measure.least.size
    top, bottom = _y(measure, to), _y(measure, from_)
    return Band(number(top), number(bottom - top), number(bottom))


def _line(measure: Measure, axis: Axis, run: Sequence[Value]) -> str:
    places = (f"{number(axis.x(one.at))} {number(_y(measure, one.number))}" for one in run)
    return f"M{'L'.join(places)}"


def _dots(measure: Measure, axis: Axis, zone: ZoneInfo) -> tuple[Dot, ...]:
    places = [axis.x(value.at) for value in measure.values]
    labelled = _labelled(places)
    return tuple(
        Dot(
            x=number(place),
            y=number(_y(measure, value.number)),
            label_y=number(_y(measure, value.number) + _beside(measure, index)),
            label=f"{round(value.number, 2):g}" if index in labelled else "",
            words=f"{day(value.at, zone)}: {value.words}",
        )
        for index, (value, place) in enumerate(zip(measure.values, places, strict=True))
    )


def _beside(measure: Measure, index: int) -> float:
    """Above the dot, but below it where the line comes down to it or the scale ends."""
    value = measure.values[index].number
    before = measure.values[index - 1].number if index else value
    low = _y(measure, value) > BOTTOM + ABOVE - 4
    return BELOW if before > value and not low else ABOVE


def _labelled(places: Sequence[float]) -> frozenset[int]:
    """The dots whose number is written: first and last, and between them as many as there is room for."""
    if not places:
        return frozenset()
    found, end = [0], len(places) - 1
    for index in range(1, end):
        if places[index] - places[found[-1]] >= LABEL_ROOM and places[end] - places[index] >= LABEL_ROOM:
            found.append(index)
    return frozenset([*found, end] if places[end] - places[0] >= LABEL_ROOM else [end])


def _words(measure: Measure, zone: ZoneInfo) -> str:
    """What the plot shows: first, last, and how many visits have a value."""
    if not measure.values:
        return f"{measure.title}: no value."
    first, last, count = measure.first, measure.last, len(measure.values)
    scale = f"Scale from {measure.low:g} to {measure.high:g}{_unit(measure)}"
    direction = f", {measure.direction}" if measure.direction else ""
    course = f"{day(first.at, zone)}: {first.words}"
    if count > 1:
        ends = f"{first.words} on {day(first.at, zone)} to {last.words} on {day(last.at, zone)}"
        course = f"{count} values, from {ends}"
    return f"{scale}{direction}. {course}. {measure.change}".strip()


def _unit(measure: Measure) -> str:
    return f" {measure.unit}" if measure.unit else ""
