"""Turns what a browser sends from the pages of the examination into clean values.

No Django form: the page has several hundred groups of radio buttons, of which only those shown are sent.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from django.http import QueryDict

from bodymaps.reasoning import items
from bodymaps.reasoning.case import CaseError, value_of
from bodymaps.reasoning.items import NOT_TESTED, Item
from charting.screening import sections
from charting.screening.queries import as_number, reflex_scale_in
from charting.screening.sections import LEFT, NEURO, REFLEX_SCALES, RIGHT, Cell, Section

REASON = "Say why it was not tested."
NO_GRADE = "Choose a grade, or clear the remark."
LONGEST_REMARK = 200
SIDE_WORDS = {RIGHT: "right", LEFT: "left", "": ""}

Values = dict[Cell, tuple[str, str]]


class Problem(NamedTuple):
    """What is wrong with one field; `where` names test and side."""

    field: str
    where: str
    words: str


@dataclass(frozen=True)
class Typed:
    """What stands in a page: on record, brought back from a draft, or just sent.

    `values`: grade and remark by (test, side), as typed. `parts`: what is shown. `scale`: which table of
    reflexes. `switched`: it was said that the grades on the other scale are to be taken out.
    """

    page: str
    state: str
    values: Values
    parts: tuple[str, ...] = ()
    scale: str = REFLEX_SCALES[0]
    switched: bool = False
    problems: tuple[Problem, ...] = field(default=())

    def problem_of(self, name: str) -> str:
        return next((problem.words for problem in self.problems if problem.field == name), "")

    def findings(self) -> Values:
        """What was graded, to be recorded; numbers as one writes them."""
        return {
            cell: (_stored(cell, grade), remark) for cell, (grade, remark) in self.values.items() if grade
        }

    def checked(self) -> "Typed":
        """The same with everything that is wrong with it."""
        found = [problem for cell in self.values for problem in _problems(cell, *self.values[cell])]
        return replace(self, problems=tuple(found))

    def shows(self, item: Item) -> bool:
        """Whether a test is on the page: of a part that is shown, or with something written down."""
        if item.group in REFLEX_SCALES and item.group != self.scale:
            return False
        if self.page != NEURO or sections.load().in_parts(item, self.parts):
            return True
        return any(cell in self.values for cell in sections.cells(item))

    def shown_cells(self, section: Section) -> list[Cell]:
        return [cell for item in section.items if self.shows(item) for cell in sections.cells(item)]


def field_name(key: str, side: str) -> str:
    """ "touch:C6", "right" -> "touch_C6_right"; "neck:lhermitte", "" -> "neck_lhermitte" """
    return "_".join(part for part in (key.replace(":", "_"), side) if part)


def where(key: str, side: str) -> str:
    """ "Strength, Elbow flexors, right" """
    item = items.findings().items[key]
    group = next(each.title for each in items.findings().groups if each.id == item.group)
    return ", ".join(part for part in (group, item.label, SIDE_WORDS[side]) if part)


def read(sent: QueryDict, page: str) -> Typed:
    """What was sent or kept as a draft. What is wrong with it: `checked`."""
    scale = sent.get("scale", "")
    scale = scale if scale in REFLEX_SCALES else REFLEX_SCALES[0]
    values: Values = {}
    for cell in sections.every_cell(page):
        key, _ = cell
        said = _said(sent, field_name(*cell))
        other = items.findings().items[key].group in set(REFLEX_SCALES) - {scale}
        if any(said) and not other:
            values[cell] = said
    known = sections.load()
    return Typed(
        page=page,
        state=sent.get("state", "")[:16],
        values=values,
        parts=known.known_parts(sent.getlist("show")) or (known.first,),
        scale=scale,
        switched=sent.get("switched") == "yes",
    )


def on_record(found: Mapping[Cell, tuple[str, str]], page: str, state: str, parts: tuple[str, ...]) -> Typed:
    mine = set(sections.every_cell(page))
    values = {cell: said for cell, said in found.items() if cell in mine}
    return Typed(page, state, values, parts, reflex_scale_in(found) or REFLEX_SCALES[0])


def filled(typed: Typed, what: str) -> Typed:
    """The normal grade wherever nothing is chosen: in one section ("touch"), in one section on one side
    ("touch:left"), or ("shown") in every section that is shown, unfolded and filled by one tap.
    """
    name, _, side = what.partition(":")
    values = dict(typed.values)
    for section in sections.load().on_page(typed.page):
        one_tap = name == "shown" and section.one_tap and section.is_open_with(typed.parts)
        if not one_tap and section.id != name:
            continue
        for cell in _still_open(typed, section, side):
            item = items.findings().items[cell[0]]
            normal = items.findings().scale_of(item).normal if item.type == "grade" else ""
            if normal:
                values[cell] = (normal, values.get(cell, ("", ""))[1])
    return replace(typed, values=values)


def untested(typed: Typed, name: str, reason: str) -> Typed:
    """NT with one reason wherever nothing is chosen in a section. Without a reason nothing changes but a
    problem is named.
    """
    reason = reason.strip()
    if not reason or len(reason) > LONGEST_REMARK:
        words = REASON if not reason else f"At most {LONGEST_REMARK} signs."
        title = next((each.title for each in sections.load().sections if each.id == name), name)
        return replace(typed, problems=(Problem(f"reason_{name}", title, words),))
    values = dict(typed.values)
    for section in sections.load().on_page(typed.page):
        if section.id == name:
            values |= {cell: (NOT_TESTED, reason) for cell in _still_open(typed, section)}
    return replace(typed, values=values)


def shown_with(typed: Typed, parts: tuple[str, ...]) -> Typed:
    return replace(typed, parts=parts)


def after_clash(typed: Typed, state: str, current: Mapping[Cell, tuple[str, str]]) -> Typed:
    """The same on top of what somebody else recorded meanwhile: what was left open here takes it over."""
    mine = set(sections.every_cell(typed.page))
    theirs = {cell: said for cell, said in current.items() if cell in mine}
    other = {cell for cell in theirs if cell[0].partition(":")[0] in set(REFLEX_SCALES) - {typed.scale}}
    kept = {cell: said for cell, said in theirs.items() if cell not in other}
    return replace(typed, state=state, values={**kept, **typed.values})


def with_scale(typed: Typed, scale: str) -> Typed:
    """The table of reflexes on this scale. What stood in the other one is dropped, on record too when it is
    saved.
    """
    if scale not in REFLEX_SCALES:
        return typed
    if scale == typed.scale:
        return replace(typed, switched=True)
    dropped = {cell for cell in typed.values if cell[0].startswith(f"{typed.scale}:")}
    values = {cell: said for cell, said in typed.values.items() if cell not in dropped}
    return replace(typed, scale=scale, values=values, switched=True)


def reflexes_in(cells: Iterable[Cell], scale: str) -> int:
    return sum(key.startswith(f"{scale}:") for key, _ in cells)


def toggled(typed: Typed, part: str) -> Typed:
    """One more part shown, or one less but never none; "all" shows everything, and then the first again."""
    known = sections.load()
    every = known.known_parts([sections.EVERYTHING])
    if part == sections.EVERYTHING:
        return replace(typed, parts=(known.first,) if typed.parts == every else every)
    return replace(typed, parts=known.known_parts(set(typed.parts) ^ {part}) or typed.parts)


def _said(sent: QueryDict, name: str) -> tuple[str, str]:
    grade = sent.get(name, "").strip()
    if not grade and sent.get(f"{name}_nt"):
        grade = NOT_TESTED
    return grade, sent.get(f"{name}_remark", "").strip()


def _still_open(typed: Typed, section: Section, side: str = "") -> list[Cell]:
    return [
        cell
        for cell in typed.shown_cells(section)
        if not typed.values.get(cell, ("", ""))[0] and (not side or cell[1] == side)
    ]


def _problems(cell: Cell, grade: str, remark: str) -> Iterable[Problem]:
    name, place = field_name(*cell), where(*cell)
    item = items.findings().items[cell[0]]
    if not grade:
        yield Problem(f"{name}_remark", place, NO_GRADE)
    elif words := _wrong(item, cell[1], grade):
        yield Problem(name, place, words)
    if grade == NOT_TESTED and not remark:
        yield Problem(f"{name}_remark", place, REASON)
    if len(remark) > LONGEST_REMARK:
        yield Problem(f"{name}_remark", place, f"At most {LONGEST_REMARK} signs.")


def _wrong(item: Item, side: str, grade: str) -> str:
    """What is wrong with a grade or a number, "" when nothing is."""
    value = as_number(item, grade)
    if isinstance(value, float) and round(value, item.decimals) != value:
        return f"Enter it with {item.decimals or 'no'} decimal{'' if item.decimals == 1 else 's'}."
    try:
        value_of(items.findings(), item.key, value, "findings", side)
    except CaseError as problem:
        if item.type != "number":
            return f"{grade} is no grade of this test."
        if isinstance(value, float):
            return f"Out of range: {problem.reason}."
        return f"Enter a number in {item.unit}, from {item.least:g} to {item.most:g}."
    return ""


def _stored(cell: Cell, grade: str) -> str:
    value = as_number(items.findings().items[cell[0]], grade)
    return f"{value:g}" if isinstance(value, float) else grade
