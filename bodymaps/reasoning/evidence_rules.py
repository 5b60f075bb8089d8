"""The rules of evidence (data/reasoning/evidence.toml), read once and checked: what in drawing, story and
findings speaks for or against a candidate, how much it weighs, and who says so.

A candidate is named "layer:id" ("muscle:levator_scapulae", "root:C6"); a rule may also name a whole layer
("layer:muscle") or a group of the file ("group:scalenes"). In a condition `drawn` may name a list of regions
of the file ("arm"); a rule with `own = true` sees only the part of the drawing that lies in the area of the
candidate it is asked for, where "anywhere" stands for the whole of it.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from bodymaps import atlas as atlases
from bodymaps import words
from bodymaps.atlas import Atlas
from bodymaps.patterns import LAYERS, SIDES
from bodymaps.reasoning import conditions, items
from bodymaps.reasoning.conditions import Condition
from bodymaps.reasoning.places import ANYWHERE
from bodymaps.reasoning.signs import STATUS

FOLDER = Path(__file__).parent.parent / "data" / "reasoning"
FILES = ("evidence.toml", "evidence_moves.toml", "evidence_findings.toml", "evidence_joints.toml")
ALL_LAYERS = ("muscle", "root", *LAYERS)
STRENGTHS = ("weak", "moderate")

FOR, AGAINST = "for", "against"

Key = tuple[str, str]


class EvidenceError(ValueError):
    """A rule that cannot be used; the message names the file, the rule and what to mend."""


@dataclass(frozen=True)
class Arithmetic:
    """The numbers of the file. `step`: what one unit of the natural logarithm of a likelihood ratio adds;
    `weak`, `moderate`: the ratios common practice is taken for; the sum of the lines of a candidate is kept
    within `most` of nothing (`most_against_urgent` below it for an organ that may need a physician the same
    day); what geometry did not name enters the order from `enters_from`.
    """

    step: float
    weak: float
    moderate: float
    most: float
    most_against_urgent: float
    enters_from: float
    source: str
    status: str

    def weight(self, ratio: float) -> float:
        """Positive for a ratio above 1, negative below."""
        return self.step * math.log(ratio)


@dataclass(frozen=True)
class Rule:
    """One rule. `speaks_for` and `against`: candidates as (layer, id). `weight` of a line for,
    `weight_against` (negative) of a line against. `about`: rules about the same thing are correlated and
    count once. `side`: asked for candidates of this side only ("" any). `ratio`, `ratio_against`: published,
    None for common practice. `own`: sees only what is drawn in the candidate's own area. `asks_findings`: a
    finding is in it. `needs`: keys of which one must have a value, None when it can hold without any.
    """

    id: str
    about: str
    condition: Condition
    speaks_for: tuple[Key, ...]
    against: tuple[Key, ...]
    words: str
    words_against: str
    weight: float
    weight_against: float
    ratio: float | None
    ratio_against: float | None
    source: str
    status: str
    own: bool = False
    side: str = ""
    asks_findings: bool = False
    needs: frozenset[str] | None = None

    @cached_property
    def named(self) -> frozenset[Key]:
        """Everybody it speaks for or against."""
        return frozenset((*self.speaks_for, *self.against))

    @cached_property
    def asks_side(self) -> bool:
        """Whether it may be true of one side and not of the other."""
        return any(leaf.get("side", "any") != "any" for leaf in self.condition.leaves())

    @cached_property
    def sees_drawing(self) -> bool:
        return any("drawn" in leaf for leaf in self.condition.leaves())

    def can_hold(self, known: Set[str]) -> bool:
        """Whether it can be true of a case with values of these keys only."""
        return self.needs is None or not self.needs.isdisjoint(known)


@dataclass(frozen=True)
class Line:
    """What speaks for or against a candidate: `words`, what was drawn, said or found (`because`), who says
    that it does (`source`, `status`), its signed `weight`. `counted`: False when a stronger line about the
    same thing counts instead. `by_finding`: it rests on an examination.
    """

    rule: str
    speaks: str
    words: str
    because: tuple[str, ...]
    source: str
    status: str
    weight: float
    about: str
    counted: bool = True
    by_finding: bool = False


@cache
def arithmetic() -> Arithmetic:
    return Arithmetic(**load(FILES[0])["arithmetic"])


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule of the files, in their order. Raises EvidenceError."""
    shared = load(FILES[0])
    found: dict[str, Rule] = {}
    for file in FILES:
        for rule in read(load(file), file, shared):
            if rule.id in found:
                raise EvidenceError(f"{file}: two rules have the id {rule.id}")
            found[rule.id] = rule
    return tuple(found.values())


def read(data: Mapping[str, Any], file: str, shared: Mapping[str, Any]) -> tuple[Rule, ...]:
    """The rules of decoded data; groups of candidates are those of `shared`."""
    reader = Reader(file, shared)
    return tuple(reader.rule(entry) for entry in data.get("rule", ()))


@cache
def load(file: str) -> dict[str, Any]:
    """A decoded file of the folder."""
    return tomllib.loads((FOLDER / file).read_text(encoding="utf-8"))


def name(key: tuple[str, ...], atlas: Atlas) -> str:
    """What a candidate (layer, id, ...) is called."""
    layer, one = key[:2]
    if layer == "muscle":
        return atlas.muscles[one].name
    return f"{words.root(one)} nerve root" if layer == "root" else atlas.structures[layer][one].name


def keys_of(atlas: Atlas) -> tuple[Key, ...]:
    """Every candidate of an atlas, in the fixed order of ties."""
    return (
        *(("muscle", one) for one in atlas.muscles),
        *(("root", one) for one in atlas.dermatomes),
        *((layer, one) for layer in LAYERS for one in atlas.structures.get(layer, {})),
    )


MEMBERS = {
    "id", "about", "when", "for", "against", "words", "words_against", "strength", "strength_against", "lr",
    "lr_against", "source", "status", "own", "side",
}  # fmt: skip


class Reader:
    """Reads the rules of one file, with the groups of `shared`."""

    def __init__(self, file: str, shared: Mapping[str, Any]) -> None:
        self.file, self.groups = file, shared["groups"]
        self.known = dict.fromkeys(keys_of(atlases.load()))

    def rule(self, entry: Mapping[str, Any]) -> Rule:
        where = f"{self.file}: rule {entry.get('id', '?')}"
        _check(entry, where)
        try:
            condition = conditions.read(_own_area(entry["when"]) if entry.get("own") else entry["when"])
        except conditions.ConditionError as error:
            raise EvidenceError(f"{where}: {error}") from None
        return Rule(
            id=entry["id"],
            about=entry["about"],
            condition=condition,
            speaks_for=self.candidates(entry.get("for", ()), where),
            against=self.candidates(entry.get("against", ()), where),
            words=entry.get("words", ""),
            words_against=entry.get("words_against", ""),
            weight=_weight(entry, "", where) if entry.get("for") else 0.0,
            weight_against=_weight(entry, "_against", where) if entry.get("against") else 0.0,
            ratio=entry.get("lr"),
            ratio_against=entry.get("lr_against"),
            source=entry["source"],
            status=entry["status"],
            own=entry.get("own", False),
            side=entry.get("side", ""),
            asks_findings=bool(condition.keys() & set(items.findings().items)),
            needs=_needs(condition),
        )

    def candidates(self, named: Iterable[str], where: str) -> tuple[Key, ...]:
        """The candidates that names stand for, each once. Raises EvidenceError."""
        found: dict[Key, None] = {}
        for name in named:
            kind, _, rest = name.partition(":")
            if kind == "group" and rest in self.groups:
                found |= dict.fromkeys(self.candidates(self.groups[rest], f"{where}: {name}"))
            elif kind == "layer" and rest in ALL_LAYERS:
                found |= dict.fromkeys(key for key in self.known if key[0] == rest)
            elif (kind, rest) in self.known:
                found[kind, rest] = None
            else:
                raise EvidenceError(f"{where}: no such candidate, layer or group: {name}")
        return tuple(found)


def _needs(condition: Condition) -> frozenset[str] | None:
    """Keys of which at least one must have a value for the condition to hold; None when none must."""
    told, parts = condition.told, [_needs(part) for part in condition.parts]
    if not condition.parts:
        key = told.get("item") or told.get("finding")
        return frozenset({key}) if key else None
    needed = [part for part in parts if part is not None]
    if "none" in told:
        return None
    if "any" in told or "of" in told:
        return frozenset().union(*needed) if len(needed) == len(parts) else None
    return min(needed, key=len) if needed else None


def _own_area(told: Any) -> Any:
    """The condition with "anywhere" called the candidate's own area, which is all that such a rule sees."""
    if isinstance(told, list):
        return [_own_area(one) for one in told]
    if not isinstance(told, dict):
        return told
    called = {"called": "its own area"} if told.get("drawn") == [ANYWHERE] else {}
    return {**called, **{name: _own_area(value) for name, value in told.items()}}


def _check(entry: Mapping[str, Any], where: str) -> None:
    for name in ("id", "about", "source", "status"):
        if not isinstance(entry.get(name), str) or not entry[name].strip():
            raise EvidenceError(f"{where}: {name} must be a text")
    if unknown := set(entry) - MEMBERS:
        raise EvidenceError(f"{where}: unknown member {', '.join(sorted(unknown))}")
    for name, allowed in (("status", STATUS), ("side", ("", *SIDES))):
        if entry.get(name, "") not in allowed:
            raise EvidenceError(f"{where}: {name} must be one of {', '.join(filter(None, allowed))}")
    _check_sayings(entry, where)


def _check_sayings(entry: Mapping[str, Any], where: str) -> None:
    """Whom it speaks for or against, and the words that say so."""
    if not entry.get("for") and not entry.get("against"):
        raise EvidenceError(f"{where}: speaks for nothing and against nothing")
    for named, said in (("for", "words"), ("against", "words_against")):
        if bool(entry.get(named)) != bool(entry.get(said)):
            raise EvidenceError(f"{where}: {named} and {said} belong together")


def _weight(entry: Mapping[str, Any], suffix: str, where: str) -> float:
    """What a line weighs: of a published ratio or of common practice, never of both."""
    numbers = arithmetic()
    ratio, strength = entry.get(f"lr{suffix}"), entry.get(f"strength{suffix}")
    if (ratio is None) == (strength is None):
        raise EvidenceError(f"{where}: needs one of lr{suffix} and strength{suffix}")
    if strength is not None:
        if strength not in STRENGTHS:
            raise EvidenceError(f"{where}: strength must be one of {', '.join(STRENGTHS)}")
        return numbers.weight(getattr(numbers, strength)) * (-1 if suffix else 1)
    if not isinstance(ratio, int | float) or (ratio <= 1) != bool(suffix):
        raise EvidenceError(f"{where}: lr must be above 1, lr_against below")
    if entry["source"] == "common practice":
        raise EvidenceError(f"{where}: a ratio needs the work it was published in")
    return numbers.weight(ratio)
