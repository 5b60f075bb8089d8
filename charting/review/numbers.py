"""The numbers of the review, read from review.toml and checked on load."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "review.toml"
STATUSES = ("checked", "from memory", "common practice")
SECTIONS = ("shown", "bounds", "ages", "scale", "map")


class ReviewNumbersError(ValueError):
    """review.toml cannot be used: the entry, and what to mend."""

    def __init__(self, entry: str, reason: str) -> None:
        super().__init__(f"{FILE.name}: {entry}: {reason}")


@dataclass(frozen=True)
class Shade:
    """One step of the map: from so many people on; `to` is None for the last."""

    least: int
    to: int | None
    fill: str


@dataclass(frozen=True)
class Published:
    """A rate of reactions to needling somebody published; counts of treatments."""

    study: str
    treatments: int
    mild: int
    significant: int
    source: str
    status: str


@dataclass(frozen=True)
class Numbers:
    """See the head of review.toml."""

    least: int
    step: int
    apart: int
    level: float
    ages: tuple[int, ...]
    scale_parts: int
    shades: tuple[Shade, ...]
    published: tuple[Published, ...]
    sources: Mapping[str, str]


@cache
def load() -> Numbers:
    """Raises ReviewNumbersError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Numbers:
    """Check and freeze decoded data. Raises ReviewNumbersError."""
    for name in SECTIONS:
        _check_source(name, data.get(name, {}))
    shown, ages = data["shown"], tuple(data["ages"]["from"])
    for name, least in (("least", 2), ("step", 2), ("apart", 0)):
        if not isinstance(shown.get(name), int) or shown[name] < least:
            raise ReviewNumbersError(f"shown: {name}", f"needs a whole number from {least} on")
    if shown["least"] % shown["step"]:
        raise ReviewNumbersError("shown: step", f"must divide least ({shown['least']})")
    if not 0 < data["bounds"].get("level", 0) < 1:
        raise ReviewNumbersError("bounds: level", "lies between 0 and 1")
    if ages[:1] != (0,) or not _rises(ages):
        raise ReviewNumbersError("ages: from", "begins at 0 and rises")
    return Numbers(
        least=shown["least"],
        step=shown["step"],
        apart=shown["apart"],
        level=data["bounds"]["level"],
        ages=ages,
        scale_parts=int(data["scale"]["parts"]),
        shades=_shades(data["map"], shown["least"], shown["step"]),
        published=tuple(_published(entry) for entry in data.get("published", [])),
        sources={name: f"{data[name]['source']} ({data[name]['status']})" for name in SECTIONS},
    )


def _shades(said: Mapping[str, Any], least: int, step: int) -> tuple[Shade, ...]:
    starts, fills = said.get("from", []), said.get("fill", [])
    if len(starts) != len(fills) or not starts:
        raise ReviewNumbersError("map: fill", "needs one shade for each number of from")
    if starts[0] != least or not _rises(starts) or any(start % step for start in starts):
        raise ReviewNumbersError("map: from", f"begins at {least}, rises, in steps of {step}")
    light = [_luminance(fill) for fill in fills]
    if not _rises([-each for each in light]):
        raise ReviewNumbersError("map: fill", "each shade must be darker than the one before")
    ends = [*(start - 1 for start in starts[1:]), None]
    return tuple(Shade(*each) for each in zip(starts, ends, fills, strict=True))


def shades_for(most: int) -> tuple[Shade, ...]:
    """The shades of a map with so many people at the place of most: where more hurt than the darkest shade is
    made for, all but the lightest begin higher, in doublings.
    """
    known = load().shades
    times = 1
    while most >= 2 * times * known[-1].least:
        times *= 2
    starts = [known[0].least, *(times * shade.least for shade in known[1:])]
    ends = [*(start - 1 for start in starts[1:]), None]
    return tuple(Shade(*each) for each in zip(starts, ends, (shade.fill for shade in known), strict=True))


def luminance_ratio(lighter: str, darker: str) -> float:
    """Contrast of two colours ("#rrggbb") by WCAG 2.x."""
    return (_luminance(lighter) + 0.05) / (_luminance(darker) + 0.05)


def _luminance(colour: str) -> float:
    try:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    except (ValueError, TypeError) as problem:
        raise ReviewNumbersError("map: fill", f"{colour!r} is no colour like #1f6479") from problem
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _published(entry: Mapping[str, Any]) -> Published:
    named = f"published {entry.get('study', '?')}"
    _check_source(named, entry)
    try:
        made = Published(**entry)
    except TypeError as problem:
        raise ReviewNumbersError(named, f"has {', '.join(Published.__dataclass_fields__)}") from problem
    if not 0 <= made.mild + made.significant <= made.treatments:
        raise ReviewNumbersError(named, "has more reactions than treatments")
    return made


def _check_source(name: str, entry: Mapping[str, Any]) -> None:
    if not entry.get("source") or entry.get("status") not in STATUSES:
        raise ReviewNumbersError(name, f"needs a source, and a status of {', '.join(STATUSES)}")


def _rises(numbers: Any) -> bool:
    return all(one < other for one, other in pairwise(numbers))
