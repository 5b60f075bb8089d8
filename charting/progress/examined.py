"""What the hand and the instruments measured again and again: pressure pain threshold, and range.

Only like is held against like: the same muscle, side, place and tip; the same movement, side and instrument.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from math import ceil
from uuid import UUID

from bodymaps.atlas import Atlas
from bodymaps.reasoning import range_change, ranges
from bodymaps.reasoning.felt import Pressure
from bodymaps.reasoning.range_change import Compared, Reading
from bodymaps.reasoning.ranges import ACTIVE, PASSIVE, Movement
from bodymaps.words import sentence_case
from charting.examination.measured import instrument_words
from charting.examination.models import MuscleFinding, RangeReading
from charting.progress.measures import HIGHER, Judged, Least, Measure, Value
from charting.treatment.where import Where, words_of

# The scale of a threshold begins at nothing and ends at the next of these steps: it has no end of its own.
KPA_STEP = 200
NO_FIGURE = "no published figure says how much of this is error of measurement in this muscle"
SAME_TIP = "Same muscle, side, place and tip of the gauge; mean of the trials."

When = Mapping[UUID, datetime]


def thresholds(rows: Iterable[MuscleFinding], when: When, known: Atlas) -> tuple[Measure, ...]:
    """One measure for each muscle, side, place and tip that was pressed at two visits or more."""
    found: dict[tuple[str, str, str, float | None], list[tuple[UUID, float]]] = {}
    for row in sorted((row for row in rows if row.pressure), key=lambda row: when[row.visit_id]):
        said = Pressure(row.pressure["unit"], tuple(row.pressure["trials"]), row.pressure.get("tip_cm2"))
        key = (row.muscle, row.side, row.site, said.tip_cm2)
        found.setdefault(key, []).append((row.visit_id, round(said.kpa, 1)))
    return tuple(
        _threshold(key, read, when, known)
        for key, read in found.items()
        # Without the size of the tip nobody knows whether it was the same one.
        if len(read) > 1 and key[3] is not None
    )


def _threshold(
    key: tuple[str, str, str, float | None],
    read: Sequence[tuple[UUID, float]],
    when: When,
    known: Atlas,
) -> Measure:
    muscle, side, site, tip = key
    where = words_of(Where(muscle, side, site), known)
    first = read[0][1]
    values = tuple(
        Value(visit, when[visit], kpa, f"{kpa:g} kPa", _higher(first, kpa) if index else "")
        for index, (visit, kpa) in enumerate(read)
    )
    return Measure(
        key=f"threshold:{muscle}:{side}:{site}:{tip:g}",
        title=f"Pressure pain threshold: {where}",
        unit="kPa",
        low=0,
        high=_end([kpa for _, kpa in read], KPA_STEP),
        better=HIGHER,
        values=values,
        change=f"{values[-1].since[:1].upper()}{values[-1].since[1:]}; {NO_FIGURE}.",
        remark=f"{SAME_TIP} Tip {tip:g} cm².",
    )


def _higher(first: float, now: float) -> str:
    if now == first:
        return "the same"
    return f"{abs(now - first):.4g} kPa {'higher' if now > first else 'lower'}"


def _end(numbers: Iterable[float], step: int) -> float:
    return max(step, ceil(max(numbers) / step) * step)


def movements(rows: Iterable[RangeReading], when: When) -> tuple[Measure, ...]:
    """One measure for each movement, side, instrument, active or passive, read at two visits or more."""
    known = ranges.load().movements
    found: dict[tuple[str, str, str, str], list[tuple[UUID, Reading]]] = {}
    for row in sorted(rows, key=lambda row: when[row.visit_id]):
        for how, number in ((ACTIVE, row.active), (PASSIVE, row.passive)):
            if number is not None and row.instrument and row.movement in known:
                key = (row.movement, row.side, how, row.instrument)
                found.setdefault(key, []).append((row.visit_id, Reading(number, row.instrument)))
    order = {name: place for place, name in enumerate(known)}
    return tuple(
        _movement(known[key[0]], key, read, when)
        for key, read in sorted(found.items(), key=lambda each: (order[each[0][0]], each[0]))
        if len(read) > 1
    )


def _movement(
    movement: Movement, key: tuple[str, str, str, str], read: Sequence[tuple[UUID, Reading]], when: When
) -> Measure:
    _, side, how, instrument = key
    first = read[0][1]
    compared = [range_change.since(movement, how, first, reading) for _, reading in read]
    values = tuple(
        Value(
            visit,
            when[visit],
            reading.value,
            movement.with_unit(reading.value),
            compared[index].words.split(" (least")[0] if index else "",
        )
        for index, (visit, reading) in enumerate(read)
    )
    joint = ranges.load().joint(movement.joint).title
    place = ", ".join(filter(None, (f"{joint}, {movement.label.lower()}", side, how)))
    return Measure(
        key=":".join(("range", *key)),
        title=f"Range: {place}",
        unit=movement.unit,
        low=movement.least,
        high=movement.most,
        better="",
        values=values,
        least=_least(movement, how, instrument),
        change=f"{sentence_case(compared[-1].words)}.",
        judged=_judged(movement, compared[-1]),
        remark=f"{sentence_case(instrument_words(instrument))}, {how}.",
    )


def _judged(movement: Movement, compared: Compared) -> tuple[Judged, ...]:
    """Each published error of measurement that the difference was held against."""
    apart = abs(compared.difference or 0)
    found = []
    for each in compared.figures:
        met = True if apart > each.value else False if apart < each.lower else None
        said = {True: "passed", False: "not passed", None: "inside this span"}[met]
        rule = range_change.figures_in_words(movement, (each,))
        cited = f"{each.source}; {each.population}; {each.status}"
        words = f"{sentence_case(rule)}: {said} ({cited})"
        found.append(Judged(rule, met, words, "Detectable change", rule.removeprefix("least change "), cited))
    return tuple(found)


def _least(movement: Movement, how: str, instrument: str) -> Least | None:
    """The largest published error: only beyond it a change counts."""
    figures = movement.changes_with(instrument, how)
    if not figures:
        return None
    said = range_change.figures_in_words(movement, figures)
    sources = "; ".join(
        dict.fromkeys(f"{each.source} ({each.population}; {each.status})" for each in figures)
    )
    size = max(each.value for each in figures)
    return Least(size, movement.with_unit(size), f"{sentence_case(said)}: {sources}")
