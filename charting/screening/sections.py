"""How the tests are laid out on a page: sections, and the parts of the body they belong to (sections.toml).

Tests, grades and scales themselves stand in bodymaps/data/reasoning/findings.toml.
"""

import tomllib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import parts as body_parts
from bodymaps.reasoning import items
from bodymaps.reasoning.items import Group, Item, Scale

FILE = Path(__file__).parent / "sections.toml"
NEURO, VITAL, JOINT = "neuro", "vital", "joint"
PAGES = (VITAL, NEURO, JOINT)
RIGHT, LEFT, MIDDLE = "right", "left", ""
SIDES = (RIGHT, LEFT)
EVERYTHING = "all"
# The two tables of tendon reflexes; one of them in a visit, never both.
REFLEX_SCALES = ("reflex", "reflex_clinic")
# Groups of which a test belongs to a part by its main root.
BY_ROOT = ("touch", "pin", "nerve_touch", "strength", *REFLEX_SCALES)

# (key of the test, side: "right", "left", or "" for what has no side)
Cell = tuple[str, str]


class SectionsError(ValueError):
    """The file cannot be used; the message names the entry and what to mend."""


@dataclass(frozen=True)
class Part:
    """A part of the body that can be chosen to be shown."""

    id: str
    title: str
    roots: frozenset[str]
    groups: frozenset[str]
    keys: frozenset[str]
    drawn: frozenset[str]

    def holds(self, item: Item) -> bool:
        by_root = item.group in BY_ROOT and item.roots and item.roots[0] in self.roots
        return bool(by_root) or item.group in self.groups or item.key in self.keys


@dataclass(frozen=True)
class Section:
    """Tests under one heading. `opens`: the parts with which it stands unfolded, EVERYTHING for always."""

    id: str
    title: str
    help: str
    page: str
    items: tuple[Item, ...]
    opens: tuple[str, ...]
    one_tap: bool
    several_groups: bool = False

    @property
    def scale(self) -> Scale | None:
        """The scale of its tests where they share one."""
        scales = {item.scale for item in self.items if item.type == "grade"}
        return items.findings().scales[scales.pop()] if len(scales) == 1 else None

    def is_open_with(self, chosen: Collection[str]) -> bool:
        return EVERYTHING in self.opens or any(part in self.opens for part in chosen)


@dataclass(frozen=True)
class Sections:
    """The file, checked. `differs`: from how much on numbers differ; `asks`: what a remark is for."""

    version: str
    first: str
    parts: tuple[Part, ...]
    sections: tuple[Section, ...]
    differs: Mapping[str, float]
    asks: Mapping[str, str]

    def on_page(self, page: str) -> tuple[Section, ...]:
        return tuple(section for section in self.sections if section.page == page)

    def known_parts(self, asked: Iterable[str]) -> tuple[str, ...]:
        """Of the ids asked for those that are parts, in order; all of them for EVERYTHING."""
        wanted = set(asked)
        return tuple(part.id for part in self.parts if part.id in wanted or EVERYTHING in wanted)

    def in_parts(self, item: Item, chosen: Collection[str]) -> bool:
        return any(part.id in chosen and part.holds(item) for part in self.parts)


@cache
def load() -> Sections:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Sections:
    """Check and freeze decoded data. Raises SectionsError with the entry and the reason."""
    try:
        parts = tuple(_part(entry) for entry in data["part"])
        neuro = tuple(_section(entry) for entry in data["section"])
        differs = {_key(entry["key"]): float(entry["least"]) for entry in data["differs"] if entry["source"]}
        asks = {_key(entry["key"]): str(entry["asks"]) for entry in data["remark"]}
        plain = [_as_section(group) for page in (VITAL, JOINT) for group in items.findings().on_page(page)]
        found = Sections(data["version"], data["first"], parts, (*plain, *neuro), differs, asks)
    except KeyError as problem:
        raise SectionsError(f"sections.toml lacks {problem}") from problem
    _check(found)
    return found


def cells(item: Item) -> tuple[Cell, ...]:
    """Where a test is written down: both sides, or once."""
    return tuple((item.key, side) for side in (SIDES if item.sided else (MIDDLE,)))


def every_cell(page: str) -> Iterator[Cell]:
    """Each place of a page where something can be written down."""
    for group in items.findings().on_page(page):
        for item in group.items:
            yield from cells(item)


def page_of(key: str) -> str:
    """The page a test stands on. Raises KeyError for an unknown test."""
    group = items.findings().items[key].group
    return next(each.page for each in items.findings().groups if each.id == group)


def parts_for(drawn: Iterable[str]) -> tuple[str, ...]:
    """What to show to begin with, by the keys of the body's parts that are drawn on ("hand right").

    Arm and leg as they are drawn; neck and trunk only where no limb is, for a limb's screen is what they
    are drawn with. Nothing drawn: the first of the file.
    """
    touched = {body_parts.part(key).id for key in drawn}
    hit = [part.id for part in load().parts if part.drawn & touched]
    limbs = [part for part in hit if part in ("arm", "leg")]
    return tuple(limbs or hit or [load().first])


def first_tests(part: str = "arm") -> Iterator[tuple[Item, str]]:
    """The tests that stand unfolded with a part and are filled by one tap, with their normal grade."""
    for section in load().on_page(NEURO):
        if section.one_tap and section.is_open_with([part]) and section.id != "reflex_clinic":
            for item in section.items:
                if load().in_parts(item, [part]):
                    yield item, items.findings().scale_of(item).normal


def _part(entry: Mapping[str, Any]) -> Part:
    sets = {name: frozenset(entry[name]) for name in ("roots", "groups", "keys", "drawn")}
    for key in entry["keys"]:
        _key(key)
    if unknown := sets["groups"] - {group.id for group in items.findings().groups}:
        raise SectionsError(f"part {entry['id']}: no such group: {', '.join(sorted(unknown))}")
    if unknown := sets["drawn"] - {part.id for part in body_parts.load().parts}:
        raise SectionsError(f"part {entry['id']}: no such part of the body: {', '.join(sorted(unknown))}")
    return Part(entry["id"], entry["title"], **sets)


def _section(entry: Mapping[str, Any]) -> Section:
    group = next((each for each in items.findings().on_page(NEURO) if each.id == entry["group"]), None)
    if group is None:
        raise SectionsError(f"section {entry['id']}: {entry['group']} is no group of the page")
    only = {_key(key) for key in entry.get("keys", [item.key for item in group.items])}
    only -= {_key(key) for key in entry.get("not_keys", ())}
    also = tuple(items.findings().items[_key(key)] for key in entry.get("also", ()))
    tests = (*(item for item in group.items if item.key in only), *also)
    graded = items.findings()
    if entry["one_tap"] and not all(item.type == "grade" and graded.scale_of(item).normal for item in tests):
        raise SectionsError(f"section {entry['id']}: one_tap needs a normal grade")
    opens = tuple(entry["opens"])
    return Section(entry["id"], entry["title"], group.help, NEURO, tests, opens, entry["one_tap"], bool(also))


def _as_section(group: Group) -> Section:
    """A group of the pages of vitals and joints: always unfolded, nothing of it filled by one tap."""
    return Section(group.id, group.title, group.help, group.page, group.items, (EVERYTHING,), False)


def _key(key: str) -> str:
    if key not in items.findings().items:
        raise SectionsError(f"sections.toml: no such test: {key}")
    return key


def _check(found: Sections) -> None:
    """Every test stands in one section, and, on the neuro page, in a part."""
    placed = [item.key for section in found.sections for item in section.items]
    if twice := {key for key in placed if placed.count(key) > 1}:
        raise SectionsError(f"in two sections: {', '.join(sorted(twice))}")
    on_pages = {key for page in PAGES for key, _ in every_cell(page)}
    if missing := on_pages - set(placed):
        raise SectionsError(f"in no section: {', '.join(sorted(missing))}")
    every = [part.id for part in found.parts]
    for section in found.on_page(NEURO):
        for item in section.items:
            if not found.in_parts(item, every):
                raise SectionsError(f"{item.key} belongs to no part")
    if found.first not in every:
        raise SectionsError("first must be one of the parts")
