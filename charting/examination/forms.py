"""Turns what a browser sends from the page of a joint into clean values: readings of range, and its tests.

No Django form: as on the page of the neuro screen, only the fields of what is shown are sent.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from itertools import chain

from django.http import QueryDict

from bodymaps.reasoning import ranges
from bodymaps.reasoning.items import NOT_TESTED
from bodymaps.reasoning.ranges import ACTIVE, PASSIVE, Movement
from charting.examination import range_limits
from charting.examination.joints import JointFound, LastList, Place, joint_cells, sides_of
from charting.examination.range_limits import END_FEEL, HURTING, INSTRUMENT, PAIN, REMARK, Taken
from charting.screening import forms as screening
from charting.screening.forms import Problem, Typed
from charting.screening.sections import JOINT

# What is typed for each side of a movement; the instrument is chosen once for both.
PARTS = (ACTIVE, PASSIVE, END_FEEL, HURTING, PAIN, REMARK)
RANGE = "range"
LAST = "last"
NO_NUMBER = "Enter a number, or leave it empty."

# What stands in the fields of one side, by part; what is empty is left out.
Texts = Mapping[str, str]


@dataclass(frozen=True)
class JointTyped:
    """What stands in the page of a joint: on record, brought back from a draft, or just sent.

    `instrument`: the one chosen for the joint; `own`: by movement, where another was chosen. `as_last`: shown
    is first what was examined at the last visit.
    """

    joint: str
    state: str
    instrument: str
    own: Mapping[str, str]
    readings: Mapping[Place, Texts]
    tests: Typed
    as_last: bool = False
    problems: tuple[Problem, ...] = ()

    @property
    def movements(self) -> tuple[Movement, ...]:
        return ranges.load().of(self.joint)

    def instrument_for(self, movement: Movement) -> str:
        """What a movement is read with: its own, else that of the joint where it can, else its only one."""
        chosen = self.own.get(movement.id) or self.instrument
        if chosen in movement.instruments:
            return chosen
        return movement.instruments[0] if len(movement.instruments) == 1 else ""

    def taken(self) -> dict[Place, Taken]:
        """The readings to be recorded; what is no number is left out, and named by `checked`."""
        return {
            (movement.id, side): _taken(self.readings[movement.id, side], self.instrument_for(movement))
            for movement in self.movements
            for side in sides_of(movement)
            if (movement.id, side) in self.readings
        }

    def checked(self) -> "JointTyped":
        """The same with everything that is wrong with it."""
        tests = self.tests.checked()
        found = chain(*map(self._wrong_in, self.movements), tests.problems)
        return replace(self, tests=tests, problems=tuple(dict.fromkeys(found)))

    def problem_of(self, field: str) -> str:
        return next((problem.words for problem in self.problems if problem.field == field), "")

    def _wrong_in(self, movement: Movement) -> Iterator[Problem]:
        for side in sides_of(movement):
            texts = self.readings.get((movement.id, side), {})
            taken = _taken(texts, self.instrument_for(movement))
            unread = [(part, NO_NUMBER) for part in _no_numbers(texts)]
            for part, words in [*unread, *range_limits.wrong(movement, taken)]:
                named = "" if part == INSTRUMENT else side
                yield Problem(field_name(movement.id, named, part), where(movement, named), words)


def field_name(movement: str, side: str, part: str) -> str:
    """ "range_neck_rotation_right_active", "range_neck_rotation_instrument" """
    return "_".join(each for each in (RANGE, movement, side, part) if each)


def where(movement: Movement, side: str) -> str:
    """ "Neck, Rotation, right" """
    joint = ranges.load().joint(movement.joint).title
    return ", ".join(each for each in (joint, movement.label, side) if each)


def read(sent: QueryDict, joint: str) -> JointTyped:
    """What was sent or kept as a draft. What is wrong with it: `checked`."""
    movements = ranges.load().of(joint)
    places = [(movement.id, side) for movement in movements for side in sides_of(movement)]
    texts = {place: _texts_in(sent, place) for place in places}
    return JointTyped(
        joint=joint,
        state=sent.get("state", "")[:16],
        instrument=sent.get(INSTRUMENT, ""),
        own={each.id: sent.get(field_name(each.id, "", INSTRUMENT), "") for each in movements},
        readings={place: said for place, said in texts.items() if said},
        tests=_of_joint(screening.read(sent, JOINT), joint),
        as_last=sent.get("list") == LAST,
    )


def on_record(found: JointFound, usual: str = "", *, as_last: bool = False) -> JointTyped:
    """What is on record of a joint. `usual`: the instrument to begin with where nothing was measured."""
    used = [taken.instrument for taken in found.readings.values() if taken.is_measured]
    instrument = max(used, key=used.count) if used else usual
    own = {place[0]: taken.instrument for place, taken in found.readings.items() if taken.is_measured}
    return JointTyped(
        joint=found.joint,
        state=found.state,
        instrument=instrument,
        own={name: with_what for name, with_what in own.items() if with_what != instrument},
        readings={place: _texts_of(taken) for place, taken in found.readings.items()},
        tests=screening.on_record(found.tests, JOINT, "", ()),
        as_last=as_last,
    )


def filled(typed: JointTyped, what: str, last: LastList | None = None) -> JointTyped:
    """The normal grade wherever nothing is chosen in a group of tests; of "range", painless: how far a joint
    should move is nowhere filled in. While the list of the last visit is shown, only what is on it.
    """
    name, _, wanted = what.partition(":")
    if name != RANGE:
        return _with_tests(typed, screening.filled(typed.tests, what), last)
    readings = {**typed.readings}
    for place in _listed(typed, last):
        texts = readings.get(place, {})
        if wanted in ("", place[1]) and not texts.get(HURTING):
            readings[place] = {**texts, HURTING: "no"}
    return replace(typed, readings=readings)


def untested(typed: JointTyped, name: str, reason: str, last: LastList | None = None) -> JointTyped:
    """NT with one reason in a group of tests, or for the pain of every movement; see screening.forms."""
    if name != RANGE:
        return _with_tests(typed, screening.untested(typed.tests, name, reason), last)
    reason = reason.strip()
    if not reason:
        named = ranges.load().joint(typed.joint).title
        return replace(typed, problems=(Problem(f"reason_{RANGE}", named, screening.REASON),))
    places = [place for place in _listed(typed, last) if place not in typed.readings]
    open_ones = {place: {HURTING: NOT_TESTED, REMARK: reason} for place in places}
    return replace(typed, readings={**typed.readings, **open_ones})


def _listed(typed: JointTyped, last: LastList | None) -> list[Place]:
    """Every side of every movement; of the last list only what is on it, while that is shown."""
    return [
        (movement.id, side)
        for movement in typed.movements
        for side in sides_of(movement)
        if not (typed.as_last and last) or movement.id in last.movements
    ]


def _with_tests(typed: JointTyped, tests: Typed, last: LastList | None) -> JointTyped:
    """The same with these tests; what is not on the last list stays as it was, while that is shown."""
    if typed.as_last and last:
        before, on_list = typed.tests.values, last.tests
        kept = {cell: said for cell, said in tests.values.items() if cell in before or cell[0] in on_list}
        tests = replace(tests, values=kept)
    return replace(typed, tests=tests, problems=tests.problems)


def after_clash(typed: JointTyped, current: JointFound) -> JointTyped:
    """The same on top of what somebody else recorded meanwhile: what was left open here takes it over."""
    theirs = on_record(current)
    return replace(
        typed,
        state=current.state,
        instrument=typed.instrument or theirs.instrument,
        own={**theirs.own, **{name: chosen for name, chosen in typed.own.items() if chosen}},
        readings={**theirs.readings, **typed.readings},
        tests=replace(typed.tests, values={**theirs.tests.values, **typed.tests.values}),
    )


def says_more(typed: JointTyped, found: JointFound) -> bool:
    """Whether something stands in the page that is not on record."""
    recorded = {place: _texts_of(taken) for place, taken in found.readings.items()}
    return typed.readings != recorded or typed.tests.findings() != found.tests


def _of_joint(tests: Typed, joint: str) -> Typed:
    mine = set(joint_cells(joint))
    return replace(tests, values={cell: said for cell, said in tests.values.items() if cell in mine})


def _texts_in(sent: QueryDict, place: Place) -> dict[str, str]:
    said = {part: sent.get(field_name(*place, part), "").strip() for part in PARTS}
    return {part: text for part, text in said.items() if text}


def _texts_of(taken: Taken) -> dict[str, str]:
    said = {part: value for part, value in asdict(taken).items() if part in PARTS}
    return {part: _as_text(value) for part, value in said.items() if value not in ("", None)}


def _as_text(value: object) -> str:
    return f"{value:g}" if isinstance(value, int | float) else str(value)


def _taken(texts: Texts, instrument: str) -> Taken:
    active, passive, pain = (_number(texts.get(part, "")) for part in (ACTIVE, PASSIVE, PAIN))
    said = {part: texts.get(part, "") for part in (END_FEEL, HURTING, REMARK)}
    if pain and not said[HURTING]:
        said[HURTING] = "yes"
    measured = active is not None or passive is not None
    return Taken(
        active=active,
        passive=passive,
        instrument=instrument if measured else "",
        pain=None if pain is None or pain % 1 else int(pain),
        **said,
    )


def _no_numbers(texts: Texts) -> Iterable[str]:
    for part in (ACTIVE, PASSIVE, PAIN):
        number = _number(texts.get(part, ""))
        if texts.get(part) and (number is None or (part == PAIN and number % 1)):
            yield part


def _number(text: str) -> float | None:
    """A comma is a point; "inf" and "nan" are no numbers."""
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return None
    return number if abs(number) < 1e6 else None
