"""Areas of the body that consent to treatment names, and where each muscle of the atlas is reached:
data/reasoning/consent_areas.toml, read once and checked against the atlas.

A key is the id of an area, with its side where it stands once for each: "neck", "shoulder right".
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bodymaps import atlas
from bodymaps.patterns import SIDES
from bodymaps.reasoning import items

FILE = "consent_areas.toml"


class ConsentAreasError(ValueError):
    """The data file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class ConsentArea:
    """`sides`: it stands once for each side. `sensitive`: it has a consent of its own, and somebody is
    offered to be present. `thorax`: lung lies under it.
    """

    id: str
    label: str
    sides: bool
    sensitive: bool = False
    thorax: bool = False


@dataclass(frozen=True)
class Reached:
    """The areas (ids) a muscle is reached through; `sites`: those sites that lie elsewhere. `why`: what makes
    it a judgement, "" where it is plain.
    """

    areas: tuple[str, ...]
    sites: Mapping[str, tuple[str, ...]]
    why: str = ""


@dataclass(frozen=True)
class ConsentAreas:
    areas: Mapping[str, ConsentArea]
    muscles: Mapping[str, Reached]


def areas() -> Mapping[str, ConsentArea]:
    """By id, in the order of the file."""
    return _file().areas


def of_muscle(muscle: str, side: str, site: str = "") -> tuple[str, ...]:
    """Keys of the areas a muscle is reached through: all have to be agreed to. Without a site of the release
    those of all its sites; without a side those of both. () for a muscle that the release does not have (an
    own pattern).
    """
    reached = _file().muscles.get(muscle)
    if reached is None:
        return ()
    known = [one.id for one in atlas.load().muscles[muscle].sites]
    sites = [site] if site in known else known
    ids = dict.fromkeys(id_ for one in sites for id_ in reached.sites.get(one, reached.areas))
    return tuple(key for id_ in ids for key in _keys_of(areas()[id_], side))


def keys() -> tuple[str, ...]:
    """Every key there is, in the order of the file."""
    return tuple(key for area in areas().values() for key in _keys_of(area, ""))


def area_of(key: str) -> ConsentArea:
    """The area of a key. Raises ConsentAreasError for a key that there is not."""
    if key not in keys():
        raise ConsentAreasError(f"{key!r} is no area of {FILE}")
    return areas()[key.partition(" ")[0]]


def words_of(key: str) -> str:
    """As it stands in a sentence: "right shoulder", "neck". Raises ConsentAreasError."""
    area, side = area_of(key), key.partition(" ")[2]
    return f"{side} {area.label[:1].lower()}{area.label[1:]}".strip()


def why_of(muscle: str) -> str:
    """What makes the areas of a muscle a judgement, "" where it is plain."""
    reached = _file().muscles.get(muscle)
    return reached.why if reached else ""


@cache
def _file() -> ConsentAreas:
    return read(tomllib.loads((items.FOLDER / FILE).read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> ConsentAreas:
    """Check and freeze decoded data. Raises ConsentAreasError with file, entry and what to mend."""
    _only(data, {"area", "muscles"}, FILE)
    told = [_area(entry) for entry in data.get("area", ())]
    found = {one.id: one for one in told}
    if not found or len(found) != len(told):
        raise ConsentAreasError(f"{FILE}: areas are needed, each with an id of its own")
    muscles = {id_: _reached(id_, entry, found) for id_, entry in data.get("muscles", {}).items()}
    if missing := [id_ for id_ in atlas.load().muscles if id_ not in muscles]:
        raise ConsentAreasError(f"{FILE}: muscles: say where these are reached: {', '.join(missing)}")
    return ConsentAreas(found, muscles)


def _area(entry: Mapping[str, Any]) -> ConsentArea:
    where = f"{FILE}: area {entry.get('id', '?')}"
    _only(entry, {"id", "label", "sides", "sensitive", "thorax"}, where)
    for name in ("id", "label"):
        if not isinstance(entry.get(name), str) or not entry[name].strip():
            raise ConsentAreasError(f"{where}: {name} must be a text")
    marks = {name: entry.get(name, False) for name in ("sides", "sensitive", "thorax")}
    if wrong := [name for name, value in marks.items() if not isinstance(value, bool)]:
        raise ConsentAreasError(f"{where}: {', '.join(wrong)} must be true or false")
    return ConsentArea(entry["id"], entry["label"], **marks)


def _reached(muscle: str, entry: Mapping[str, Any], known: Mapping[str, ConsentArea]) -> Reached:
    where = f"{FILE}: muscle {muscle}"
    found = atlas.load().muscles.get(muscle)
    if found is None:
        raise ConsentAreasError(f"{where}: is not in the atlas")
    _only(entry, {"areas", "sites", "why"}, where)
    sites = entry.get("sites", {})
    if unknown := sorted(set(sites) - {one.id for one in found.sites}):
        raise ConsentAreasError(f"{where}: has no such site: {', '.join(unknown)}")
    why = entry.get("why", "")
    if not isinstance(why, str):
        raise ConsentAreasError(f"{where}: why must be a text")
    named = {site: _ids(told, known, f"{where}: site {site}") for site, told in sites.items()}
    return Reached(_ids(entry.get("areas"), known, where), named, why)


def _ids(told: Any, known: Mapping[str, ConsentArea], where: str) -> tuple[str, ...]:
    if not isinstance(told, list) or not told:
        raise ConsentAreasError(f"{where}: at least one area is needed")
    if unknown := [one for one in told if one not in known]:
        raise ConsentAreasError(f"{where}: no such area: {', '.join(map(str, unknown))}")
    return tuple(told)


def _keys_of(area: ConsentArea, side: str) -> Iterator[str]:
    if not area.sides:
        yield area.id
    else:
        yield from (f"{area.id} {on}" for on in ((side,) if side in SIDES else SIDES))


def _only(entry: Mapping[str, Any], allowed: set[str], where: str) -> None:
    if unknown := set(entry) - allowed:
        raise ConsentAreasError(f"{where}: unknown key {', '.join(sorted(unknown))}")
