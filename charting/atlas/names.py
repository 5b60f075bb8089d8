"""Every entry by name: what a search finds, and the lists by part of the body."""

import re
import tomllib
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

from bodymaps import geometry, parts, regions
from bodymaps.atlas import Atlas, Dermatome, Muscle
from charting.atlas.kinds import KINDS, Entry, Kind, entries, name_of

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class BodyPart:
    """One heading of the lists: the groups of muscles and the parts of the figure that stand below it."""

    id: str
    label: str
    groups: tuple[str, ...]
    parts: tuple[str, ...]


@dataclass(frozen=True)
class Named:
    """An entry by its name. `sought` holds every word it is found by, plain and small."""

    kind: Kind
    id: str
    name: str
    body_part: str
    sought: str


@cache
def body_parts() -> tuple[BodyPart, ...]:
    """Raises ValueError when a part of the figure stands in none of them, or in two."""
    data = tomllib.loads((FOLDER / "body_parts.toml").read_text(encoding="utf-8"))["body_part"]
    made = tuple(
        BodyPart(each["id"], each["label"], tuple(each["groups"]), tuple(each["parts"])) for each in data
    )
    listed = [part for each in made for part in each.parts]
    if sorted(listed) != sorted({part.id for part in parts.load().parts}):
        raise ValueError("body_parts.toml: every part of the figure stands in exactly one body part")
    return made


@lru_cache(maxsize=8)
def everything(known: Atlas) -> tuple[Named, ...]:
    """All entries, by kind and then in the order of the atlas."""
    return tuple(
        Named(kind, entry.id, name_of(entry), _body_part(entry), _sought(kind, entry))
        for kind in KINDS
        for entry in entries(known, kind).values()
    )


def found(known: Atlas, text: str) -> tuple[Named, ...]:
    """The entries that hold every word of the text, at the beginning of words or (from three letters) within.

    Those whose words all begin so come first. No text finds everything.
    """
    words = plain(text).split()
    begun, within = [], []
    for each in everything(known):
        if all(f" {word}" in each.sought for word in words):
            begun.append(each)
        elif all(word in each.sought for word in words) and min(map(len, words)) > 2:
            within.append(each)
    return (*begun, *within)


def plain(text: str) -> str:
    """ "Musculus médius_x" -> "musculus medius x": small letters and digits without accents."""
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return " ".join(re.findall(r"[a-z0-9]+", letters))


def _sought(kind: Kind, entry: Entry) -> str:
    more = _other_names().get(kind.slug, {}).get(entry.id, "")
    # "nerve root C6", "root C6" and "dermatome C6" are typed as often as "C6".
    said = "dermatome" if isinstance(entry, Dermatome) else ""
    return f" {plain(f'{name_of(entry)} {entry.id} {more} {kind.one} {said}')}"


@cache
def _other_names() -> dict[str, dict[str, str]]:
    return tomllib.loads((FOLDER / "other_names.toml").read_text(encoding="utf-8"))


def _body_part(entry: Entry) -> str:
    if isinstance(entry, Muscle):
        for each in body_parts():
            if entry.group in each.groups:
                return each.id
    view, x, y = _middle(entry)
    return next(each.id for each in body_parts() if part_at(view, x, y).id in each.parts)


def _middle(entry: Entry) -> tuple[str, float, float]:
    """The key point of a root; the middle of the largest zone of the rest, core before spillover. A muscle
    without a group of its own is one that the practice added.
    """
    if isinstance(entry, Dermatome):
        return entry.key_point.view, entry.key_point.x, entry.key_point.y
    drawn = entry.sites[0].zones if isinstance(entry, Muscle) else entry.zones
    zones = [each for each in drawn.items() if not each[1].is_empty]
    (view, _), area = max(zones, key=lambda each: (each[0][1] == "core", each[1].area))
    return (view, *geometry.inner_place(area))


def part_at(view: str, x: float, y: float) -> parts.Part:
    """The coarse part of the body at a point, the nearest one for a point beside it."""
    here = _regions(view)
    one = here[geometry.nearest([each.area for each in here], x, y)]
    return parts.part_of(one.id, one.side)


@cache
def _regions(view: str) -> tuple[regions.Region, ...]:
    return tuple(one for one in regions.load() if one.view == view)


def by_body_part(named: Iterable[Named]) -> list[tuple[BodyPart, list[Named]]]:
    """Only the parts that have any, in the order of the body."""
    all_of_them = list(named)
    grouped = [(part, [each for each in all_of_them if each.body_part == part.id]) for part in body_parts()]
    return [(part, those) for part, those in grouped if those]
