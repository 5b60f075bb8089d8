"""The movements of a joint as its page shows them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.safestring import SafeString

from bodymaps.reasoning import range_change, ranges
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.ranges import ACTIVE, PASSIVE, Change, Instrument, Movement, Usual
from charting.examination.forms import PARTS, JointTyped, field_name, where
from charting.examination.joints import JointFound, LastList, sides_of
from charting.examination.measured import HOWS, Earlier, instrument_words, sides_differ, since_of
from charting.examination.range_limits import END_FEEL, HURTING, INSTRUMENT, PAIN, REMARK, Taken
from charting.screening.pages import grades_shown

# By movement, side and active or passive.
EarlierBy = Mapping[tuple[str, str, str], Earlier]


@dataclass(frozen=True)
class BeforeShown:
    """The last number before this visit, and how what stands in the page compares with it, "" while nothing
    stands there.
    """

    how: str
    on: str
    words: str
    compared: str
    is_beyond: bool


@dataclass(frozen=True)
class RangeCell:
    """One side of one movement: what stands in its fields, the radio buttons of its pain as HTML, what is
    wrong by part, and what was read before.
    """

    name: str
    label: str
    side: str
    unit: str
    active: str
    passive: str
    end_feel: str
    hurts: str
    grades: SafeString
    says: str
    pain: str
    remark: str
    wrong: Mapping[str, str]
    before: tuple[BeforeShown, ...]

    @property
    def is_done(self) -> bool:
        return bool(self.active or self.passive or self.hurts)


@dataclass(frozen=True)
class Published:
    """One published figure in words; `fits`: it is for the age of this person."""

    words: str
    source: str
    fits: bool = False


@dataclass(frozen=True)
class MovementShown:
    """One movement. `least`: the least change beyond error, active and passive, in words. `changes`, `usual`:
    all that is published of it. `same`: what the neuro screen says of the same measurement. `own`: the
    instrument chosen for it alone; `reads`: whether that of the joint can read it; `is_chosen`: one is.
    """

    movement: Movement
    field: str
    cells: tuple[RangeCell, ...]
    differs: tuple[str, ...]
    least: tuple[tuple[str, str], ...]
    changes: tuple[Published, ...]
    usual: tuple[Published, ...]
    own: str
    reads: bool
    is_chosen: bool
    instruments: tuple[Instrument, ...]
    error: str
    same: tuple[str, ...]

    @property
    def other_instrument(self) -> str:
        """The instrument where it is not the one chosen for the joint, "" where it is."""
        return next((each.title for each in self.instruments if each.id == self.own), "")

    @property
    def must_choose(self) -> bool:
        """Whether its instrument has to be seen: one of several of its own, or none that can read it."""
        return bool(self.error) or (not self.reads and len(self.instruments) > 1 and self.is_chosen)


def movements_shown(
    typed: JointTyped, found: JointFound, earlier: EarlierBy, age: int | None
) -> tuple[MovementShown, ...]:
    return tuple(_movement(each, typed, found, earlier, age) for each in typed.movements)


def apart(
    shown: tuple[MovementShown, ...], typed: JointTyped, last: LastList | None
) -> tuple[tuple[MovementShown, ...], tuple[MovementShown, ...]]:
    """What was examined at the last visit, and the rest; all and nothing when that is not asked for."""
    if not typed.as_last or last is None:
        return shown, ()
    first = tuple(each for each in shown if each.movement.id in last.movements)
    return first, tuple(each for each in shown if each not in first)


def _movement(
    movement: Movement, typed: JointTyped, found: JointFound, earlier: EarlierBy, age: int | None
) -> MovementShown:
    taken = typed.taken()
    with_what = typed.instrument_for(movement)
    said = {side: taken.get((movement.id, side)) for side in sides_of(movement)}
    reads = typed.instrument in movement.instruments
    return MovementShown(
        movement=movement,
        field=field_name(movement.id, "", INSTRUMENT),
        cells=tuple(_cell(movement, side, typed, said[side], earlier) for side in said),
        differs=sides_differ(movement, said.get("right"), said.get("left")),
        least=tuple((how, _least(movement, with_what, how)) for how in HOWS) if with_what else (),
        changes=tuple(_change(movement, each) for each in movement.changes),
        usual=tuple(_usual(movement, each, age) for each in movement.usual),
        own=typed.own.get(movement.id, "") or ("" if reads else with_what),
        reads=reads,
        is_chosen=bool(typed.instrument),
        instruments=tuple(ranges.load().instruments[each] for each in movement.instruments),
        error=typed.problem_of(field_name(movement.id, "", INSTRUMENT)),
        same=tuple(_same(movement, found)),
    )


def _cell(
    movement: Movement, side: str, typed: JointTyped, taken: Taken | None, earlier: EarlierBy
) -> RangeCell:
    texts = typed.readings.get((movement.id, side), {})
    fields = {part: field_name(movement.id, side, part) for part in PARTS}
    hurts = texts.get(HURTING, "")
    return RangeCell(
        name=field_name(movement.id, side, ""),
        label=where(movement, side),
        side=side,
        unit=movement.unit,
        active=texts.get(ACTIVE, ""),
        passive=texts.get(PASSIVE, ""),
        end_feel=texts.get(END_FEEL, ""),
        hurts=hurts,
        grades=grades_shown("hurts", fields[HURTING], hurts),
        says={"yes": "painful", "NT": "not tested"}.get(hurts, ""),
        pain=texts.get(PAIN, ""),
        remark=texts.get(REMARK, ""),
        wrong={part: words for part, name in fields.items() if (words := typed.problem_of(name))},
        before=tuple(_before(movement, side, taken or Taken(), earlier)),
    )


def _before(movement: Movement, side: str, taken: Taken, earlier: EarlierBy) -> Iterator[BeforeShown]:
    compared = {how: told for how, _, told in since_of(movement, side, taken, earlier)}
    for how in HOWS:
        if then := earlier.get((movement.id, side, how)):
            told = compared.get(how)
            yield BeforeShown(
                how, then.on, then.words, told.words if told else "", bool(told and told.is_beyond)
            )


def _least(movement: Movement, instrument: str, how: str) -> str:
    figures = movement.changes_with(instrument, how)
    return range_change.figures_in_words(movement, figures) if figures else "no figure"


def _change(movement: Movement, figure: Change) -> Published:
    parts = [
        range_change.figures_in_words(movement, (figure,)),
        instrument_words(figure.instrument),
        figure.of,
        figure.population,
    ]
    return Published(", ".join(filter(None, parts)), f"{figure.source} ({figure.status})")


def _usual(movement: Movement, usual: Usual, age: int | None) -> Published:
    years = "" if usual.youngest is None else f", {usual.youngest} to {usual.oldest} years"
    words = f"{movement.with_unit(usual.value)}{years}: {usual.population}"
    return Published(words, f"{usual.source} ({usual.status})", bool(years) and usual.is_for(age))


def _same(movement: Movement, found: JointFound) -> Iterator[str]:
    """Where the neuro screen has, or asks for, the same measurement."""
    if not movement.same_as:
        return
    there = {side: found.every_test.get((movement.same_as, side)) for side in sides_of(movement)}
    for side, said in there.items():
        mine = found.readings.get((movement.id, side))
        if said and said[0] != NOT_TESTED:
            number = movement.with_unit(float(said[0]))
            differs = mine and mine.active is not None and movement.with_unit(mine.active) != number
            told = "; it differs from this one, and counts" if differs else ", which counts"
            yield f"Neuro screen, {side}: {number}{told} for the rules."
    if not any(there.values()):
        yield "Measured actively, it counts for the neuro screen too."
