"""How far the joints moved: every reading in words, beside the other side and the visits before."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from bodymaps.reasoning import range_change, ranges
from bodymaps.reasoning.range_change import Compared, Reading
from bodymaps.reasoning.ranges import ACTIVE, PASSIVE, Movement
from charting.examination.joints import Place, sides_of, taken_in
from charting.examination.models import RangeReading
from charting.examination.queries import ranges_of
from charting.examination.range_limits import Taken
from charting.visits.models import Visit

HOWS = (ACTIVE, PASSIVE)
HURTS = {"yes": "painful", "no": "painless", "NT": "pain not asked"}


@dataclass(frozen=True)
class Earlier:
    """One number of the last earlier visit that has it: `on` is the day in words."""

    reading: Reading
    on: str
    words: str


@dataclass(frozen=True)
class RangeRow:
    """One movement as it is shown and printed. `right`, `left`, `middle`: what is on record in words, "" for
    nothing (`middle`: a movement without sides). `sides`: how they differ. `since`: what changed since
    earlier visits, each with the error of measurement and its confidence level.
    """

    joint: str
    movement: str
    right: str
    left: str
    middle: str
    sides: tuple[str, ...]
    since: tuple[str, ...]


def range_rows(visit: Visit) -> tuple[RangeRow, ...]:
    """What is on record of range in the order of the catalogue, () for nothing. Two queries."""
    rows = {(row.movement, row.side): taken_in(row) for row in ranges_of(visit)}
    earlier = earlier_of(visit) if rows else {}
    known = ranges.load()
    return tuple(
        _row(joint.title, movement, rows, earlier)
        for joint in known.joints
        for movement in known.of(joint.id)
        if any((movement.id, side) in rows for side in sides_of(movement))
    )


def earlier_of(visit: Visit) -> dict[tuple[str, str, str], Earlier]:
    """By movement, side and ACTIVE or PASSIVE: the last number read before this visit. One query."""
    rows = RangeReading.objects.filter(
        visit__patient=visit.patient_id, visit__started_at__lt=visit.started_at
    )
    zone = visit.patient.practice.zone
    found = {}
    for row in rows.select_related("visit").order_by("visit__started_at", "pk"):
        movement = ranges.load().movements.get(row.movement)
        day = row.visit.started_at.astimezone(zone)
        for how in HOWS:
            reading = reading_in(taken_in(row), how)
            if movement and reading:
                on = f"{day.day} {day:%B %Y}"
                found[row.movement, row.side, how] = Earlier(reading, on, _with(movement, reading))
    return found


def reading_in(taken: Taken, how: str) -> Reading | None:
    value = taken.active if how == ACTIVE else taken.passive
    return None if value is None else Reading(value, taken.instrument)


def in_words(movement: Movement, taken: Taken) -> str:
    """ "active 58°, passive 62° (goniometer), end feel firm, painful, 4 of 10; remark" """
    numbers = ", ".join(
        f"{how} {movement.with_unit(reading.value)}" for how in HOWS if (reading := reading_in(taken, how))
    )
    feel = ranges.load().end_feels.get(taken.end_feel)
    parts = [
        f"{numbers} ({instrument_words(taken.instrument)})" if numbers else "",
        f"end feel {feel.words}" if feel else "",
        HURTS.get(taken.hurts, ""),
        f"{taken.pain} of 10" if taken.pain is not None else "",
    ]
    return "; ".join(part for part in (", ".join(filter(None, parts)), taken.remark) if part)


def instrument_words(name: str) -> str:
    known = ranges.load().instruments.get(name)
    return known.title[:1].lower() + known.title[1:] if known else "instrument not said"


def since_of(
    movement: Movement, side: str, taken: Taken, earlier: Mapping[tuple[str, str, str], Earlier]
) -> tuple[tuple[str, Earlier, Compared], ...]:
    """(ACTIVE or PASSIVE, what it was, how it compares) for each number that was read before too."""
    return tuple(
        (how, then, range_change.since(movement, how, then.reading, now))
        for how in HOWS
        if (now := reading_in(taken, how)) and (then := earlier.get((movement.id, side, how)))
    )


def sides_differ(movement: Movement, right: Taken | None, left: Taken | None) -> tuple[str, ...]:
    """How the two sides differ, active and passive, in words; () where one was not read."""
    if right is None or left is None:
        return ()
    pairs = ((how, reading_in(right, how), reading_in(left, how)) for how in HOWS)
    return tuple(
        f"{how}: {range_change.between_sides(movement, how, here, there).words}"
        for how, here, there in pairs
        if here and there
    )


def _row(
    joint: str,
    movement: Movement,
    rows: Mapping[Place, Taken],
    earlier: Mapping[tuple[str, str, str], Earlier],
) -> RangeRow:
    said = {side: rows.get((movement.id, side)) for side in ("right", "left", "")}
    words = {side: in_words(movement, row) if row else "" for side, row in said.items()}
    since = (_since_words(movement, side, row, earlier) for side, row in said.items() if row)
    return RangeRow(
        joint=joint,
        movement=movement.label,
        right=words["right"],
        left=words["left"],
        middle=words[""],
        sides=sides_differ(movement, said["right"], said["left"]),
        since=tuple(each for lines in since for each in lines),
    )


def _since_words(
    movement: Movement, side: str, taken: Taken, earlier: Mapping[tuple[str, str, str], Earlier]
) -> Iterable[str]:
    for how, then, compared in since_of(movement, side, taken, earlier):
        place = ", ".join(part for part in (side, how) if part)
        yield f"{place}, since {then.on} ({then.words}): {compared.words}"


def _with(movement: Movement, reading: Reading) -> str:
    return f"{movement.with_unit(reading.value)}, {instrument_words(reading.instrument)}"
