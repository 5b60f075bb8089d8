"""Everything that can be asked of a patient (data/reasoning/history.toml) or found on examination
(data/reasoning/findings.toml): one entry for each key, checked on load. The forms are made from it, and what
a file may carry is checked against it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps.reasoning import ranges
from bodymaps.reasoning.ranges import Movement, Ranges

FOLDER = Path(__file__).parent.parent / "data" / "reasoning"
NOT_TESTED = "NT"
YES_NO = ("yes", "no", "unsure")
# What a value is: one word of several, any of several, yes / no / not sure, a number with a unit, words; and,
# of findings, a grade of a scale (every scale ends with NT, not tested).
HISTORY_TYPES = ("choice", "choices", "yes_no", "number", "text")
FINDING_TYPES = ("grade", "number")


class ItemsError(ValueError):
    """A data file that cannot be used; the message names the entry and what to mend."""


@dataclass(frozen=True)
class Choice:
    """One word that can be chosen; `words` is what is read."""

    id: str
    words: str


@dataclass(frozen=True)
class Scale:
    """Grades of a finding, lowest first as the source has them, NT last. `normal` is what "all normal" fills
    in, "" where there is no such grade; `within_normal` is every grade that counts as normal.
    """

    id: str
    name: str
    source: str
    status: str
    normal: str
    within_normal: tuple[str, ...]
    grades: tuple[Choice, ...]
    from_memory: tuple[str, ...] = ()

    def words_for(self, grade: str) -> str:
        return next((one.words for one in self.grades if one.id == grade), "")


@dataclass(frozen=True)
class Item:
    """One question or one test.

    `ask`: the question in the patient's words, "" for what is not asked of patients. `sided`: has a value for
    right and left each. `only_if`: shown when this condition (see conditions) holds. `standing`: stays with
    the person from visit to visit and is confirmed again. `record_only`: why nothing is concluded from it.
    `caution`: when a test must not be done, or how it is kept safe.
    """

    key: str
    group: str
    type: str
    label: str
    ask: str
    help: str
    choices: tuple[Choice, ...]
    scale: str
    unit: str
    least: float | None
    most: float | None
    decimals: int
    longest: int
    sided: bool
    roots: tuple[str, ...]
    standing: bool
    record_only: str
    source: str
    only_if: Mapping[str, Any] | None
    caution: str = ""

    def words_for(self, value: object) -> str:
        """A value in words: "suddenly", "turning the head, reaching", "38.5 °C", "yes"."""
        if isinstance(value, list | tuple):
            return ", ".join(self.words_for(one) for one in value)
        if self.type == "yes_no":
            return "not sure" if value == "unsure" else str(value)
        if self.type == "number" and value != NOT_TESTED:
            return f"{value:g} {self.unit}".strip() if isinstance(value, int | float) else str(value)
        return next((one.words for one in self.choices if one.id == value), str(value))


@dataclass(frozen=True)
class Group:
    """Items that are shown together. `page` says where: see the data file."""

    id: str
    title: str
    page: str
    help: str
    items: tuple[Item, ...]


@dataclass(frozen=True)
class Catalogue:
    version: str
    groups: tuple[Group, ...]
    items: Mapping[str, Item]
    scales: Mapping[str, Scale]

    def on_page(self, page: str) -> tuple[Group, ...]:
        return tuple(group for group in self.groups if group.page == page)

    def scale_of(self, item: Item) -> Scale:
        return self.scales[item.scale]


@cache
def history() -> Catalogue:
    """Everything that can be asked."""
    return read(_load("history.toml"), HISTORY_TYPES, "history.toml")


@cache
def findings() -> Catalogue:
    """Everything that can be found on examination: findings.toml, the tests of joints.toml, and what
    ranges.toml says of each movement.
    """
    found, joints, movements = _load("findings.toml"), _load("joints.toml"), ranges.load()
    groups = [*found["group"], *joints["group"], *_of_movements(movements)]
    version = ", ".join((found["version"], joints["version"], movements.version))
    scales = [*found["scale"], *joints.get("scale", ())]
    return read(
        {**found, "scale": scales, "group": groups, "version": version}, FINDING_TYPES, "findings.toml"
    )


def _of_movements(known: Ranges) -> Iterator[dict[str, Any]]:
    """The findings of each movement, as entries of a file."""
    for joint in known.joints:
        entries = [entry for movement in known.of(joint.id) for entry in _of_movement(movement)]
        if entries:
            named = {"id": f"range_{joint.id}", "title": f"{joint.title}, range", "page": "range"}
            yield {**named, "items": entries}


def _of_movement(movement: Movement) -> Iterator[dict[str, Any]]:
    shared = {"sided": movement.sided, "record_only": "Compared with the other side and with earlier visits."}
    bounds = {"unit": movement.unit, "least": movement.least, "most": movement.most, "decimals": 1}
    for how, label in ((ranges.ACTIVE, "active"), (ranges.PASSIVE, "passive")):
        named = {"key": f"{how}:{movement.id}", "label": f"{movement.label}, {label}"}
        yield {**shared, **bounds, **named, "type": "number"}
    named = {"key": f"{ranges.PAIN_ON}:{movement.id}", "label": f"{movement.label}, pain"}
    yield {**shared, **named, "type": "grade", "scale": "hurts"}


def _load(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / name).read_text(encoding="utf-8"))


def read(data: Mapping[str, Any], types: tuple[str, ...], file: str) -> Catalogue:
    """Check and freeze decoded data. Raises ItemsError with file, entry and reason."""
    scales = {scale.id: scale for scale in (_scale(entry, file) for entry in data.get("scale", ()))}
    groups = tuple(_group(entry, types, scales, file) for entry in data.get("group", ()))
    items: dict[str, Item] = {}
    for item in (item for group in groups for item in group.items):
        if item.key in items:
            raise ItemsError(f"{file}: two items have the key {item.key}")
        items[item.key] = item
    if not items or not isinstance(data.get("version"), str):
        raise ItemsError(f"{file}: a version and at least one group with items are needed")
    return Catalogue(data["version"], groups, items, scales)


def _scale(entry: Mapping[str, Any], file: str) -> Scale:
    where = f"{file}: scale {entry.get('id', '?')}"
    for name in ("id", "name", "source", "status"):
        _text(entry, name, where)
    grades = tuple(Choice(value, words) for value, words in entry.get("grades", ()))
    values = {grade.id for grade in grades}
    within = tuple(entry.get("within_normal", ()))
    if not grades or NOT_TESTED in values:
        raise ItemsError(f"{where}: grades are needed; NT is added to every scale and not written")
    if not set(within) <= values or entry.get("normal", "") not in ("", *within):
        raise ItemsError(f"{where}: within_normal must be grades of it, normal one of them or left out")
    return Scale(
        id=entry["id"],
        name=entry["name"],
        source=entry["source"],
        status=entry["status"],
        normal=entry.get("normal", ""),
        within_normal=within,
        grades=(*grades, Choice(NOT_TESTED, "not tested")),
        from_memory=tuple(entry.get("from_memory", ())),
    )


def _group(entry: Mapping[str, Any], types: tuple[str, ...], scales: Mapping[str, Scale], file: str) -> Group:
    where = f"{file}: group {entry.get('id', '?')}"
    for name in ("id", "title", "page"):
        _text(entry, name, where)
    shared = {name: entry[name] for name in ("type", "scale", "sided", "source", "only_if") if name in entry}
    items = tuple(
        _item({**shared, **one}, entry["id"], types, scales, file) for one in entry.get("items", ())
    )
    return Group(entry["id"], entry["title"], entry["page"], entry.get("help", ""), items)


KNOWN = {
    "key", "type", "label", "ask", "help", "choices", "scale", "unit", "least", "most", "decimals", "longest",
    "sided", "roots", "standing", "record_only", "source", "only_if",
    "caution",
}  # fmt: skip


def _item(
    entry: Mapping[str, Any], group: str, types: tuple[str, ...], scales: Mapping[str, Scale], file: str
) -> Item:
    where = f"{file}: item {entry.get('key', '?')}"
    for name in ("key", "type", "label"):
        _text(entry, name, where)
    if unknown := set(entry) - KNOWN:
        raise ItemsError(f"{where}: unknown member {', '.join(sorted(unknown))}")
    if entry["type"] not in types:
        raise ItemsError(f"{where}: type must be one of {', '.join(types)}")
    return Item(
        key=entry["key"],
        group=group,
        type=entry["type"],
        label=entry["label"],
        ask=entry.get("ask", ""),
        help=entry.get("help", ""),
        choices=_choices(entry, scales, where),
        scale=entry.get("scale", "") if entry["type"] == "grade" else "",
        unit=entry.get("unit", ""),
        least=entry.get("least"),
        most=entry.get("most"),
        decimals=entry.get("decimals", 0),
        longest=entry.get("longest", 500),
        sided=entry.get("sided", False),
        roots=tuple(entry.get("roots", ())),
        standing=entry.get("standing", False),
        record_only=entry.get("record_only", ""),
        source=entry.get("source", ""),
        only_if=entry.get("only_if"),
        caution=entry.get("caution", ""),
    )


def _choices(entry: Mapping[str, Any], scales: Mapping[str, Scale], where: str) -> tuple[Choice, ...]:
    kind = entry["type"]
    if kind == "grade":
        if entry.get("scale") not in scales:
            raise ItemsError(f"{where}: scale must be one of {', '.join(scales)}")
        return scales[entry["scale"]].grades
    if kind == "number":
        _check_number(entry, where)
    if kind == "yes_no":
        return (Choice("yes", "Yes"), Choice("no", "No"), Choice("unsure", "Not sure"))
    if not all(isinstance(one, list) and len(one) == 2 for one in entry.get("choices", ())):
        raise ItemsError(f"{where}: a choice is an id and its words")
    found = tuple(Choice(*one) for one in entry.get("choices", ()))
    if kind in ("choice", "choices") and len({one.id for one in found}) < max(2, len(found)):
        raise ItemsError(f"{where}: at least two choices are needed, each with an id of its own")
    return found


def _check_number(entry: Mapping[str, Any], where: str) -> None:
    least, most = entry.get("least"), entry.get("most")
    if not isinstance(least, int | float) or not isinstance(most, int | float) or not entry.get("unit"):
        raise ItemsError(f"{where}: a number needs unit, least and most")
    if least >= most:
        raise ItemsError(f"{where}: least must be below most")


def _text(entry: Mapping[str, Any], name: str, where: str) -> None:
    if not isinstance(entry.get(name), str) or not entry[name].strip():
        raise ItemsError(f"{where}: {name} must be a text")
