"""The data of the gates for needling (data/reasoning/needling.toml), read once and checked against the atlas,
the areas of consent and the catalogue of questions.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar

from bodymaps import atlas
from bodymaps.patterns import AT_RISK
from bodymaps.reasoning import conditions, consent_areas, items
from bodymaps.reasoning.conditions import Condition, ConditionError
from bodymaps.reasoning.needling_rules import (
    DEPTH_KINDS,
    FILE,
    GUARDIAN,
    LEVELS,
    OF_VISIT,
    STATUSES,
    Asked,
    Depth,
    LateAdviceText,
    Needling,
    NeedlingError,
    Over,
    Rule,
    Structure,
    Where,
)

MEMBERS = {
    "version",
    "asked",
    "gate",
    "structure",
    "unknown",
    "pleura_list",
    "pleura",
    "depth",
    "visit",
    "late_advice",
}


Entry = TypeVar("Entry", Rule, Depth)


@cache
def load() -> Needling:
    return read(tomllib.loads((items.FOLDER / FILE).read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Needling:
    """Check and freeze decoded data. Raises NeedlingError with file, entry and what to mend."""
    _exactly(data, MEMBERS, FILE)
    return Needling(
        version=_text(data, "version", FILE),
        asked=_asked(data["asked"]),
        rules=_own_ids([_rule(entry) for entry in data["gate"]], "gate"),
        structures=_structures(data["structure"]),
        unknown=_rule({"id": "unknown", "level": "caution", **data["unknown"]}, of_somebody=False),
        list_source=_sourced(data["pleura_list"], f"{FILE}: pleura_list"),
        pleura=_pleura(data["pleura"]),
        depths=_own_ids([_depth(entry) for entry in data["depth"]], "depth"),
        visit=_visit(data["visit"]),
        late_advice=_late_advice(data["late_advice"]),
    )


def _rule(entry: Mapping[str, Any], *, of_somebody: bool = True) -> Rule:
    where = f"{FILE}: gate {entry.get('id', '?')}"
    named = {"id", "level", "title", "words", "source", "status"}
    _only(entry, named | {"when", "areas", "muscles", "sites", "pleura", "overridable", "met_by"}, where)
    place = _where(entry, where)
    when = _when(entry["when"], where) if "when" in entry else None
    if of_somebody and when is None and place.is_person and entry.get("level") != "note":
        raise NeedlingError(f"{where}: say of whom it is true (when) or where it counts (areas, muscles)")
    overridable, met_by = entry.get("overridable", True), entry.get("met_by", "")
    if not isinstance(overridable, bool) or met_by not in ("", GUARDIAN):
        raise NeedlingError(f'{where}: overridable must be true or false, met_by "{GUARDIAN}"')
    return Rule(
        _text(entry, "id", where),
        _level(entry, where),
        _text(entry, "title", where),
        _text(entry, "words", where),
        *_sourced(entry, where),
        when=when,
        where=place,
        overridable=overridable,
        met_by=met_by,
    )


def _where(entry: Mapping[str, Any], where: str) -> Where:
    areas, muscles, sites = entry.get("areas", []), entry.get("muscles", []), entry.get("sites", {})
    if unknown := set(areas) - set(consent_areas.areas()):
        raise NeedlingError(f"{where}: no such area: {', '.join(sorted(unknown))}")
    known = atlas.load().muscles
    if unknown := {*muscles, *sites} - set(known):
        raise NeedlingError(f"{where}: not in the atlas: {', '.join(sorted(unknown))}")
    if stray := set(sites) - set(muscles):
        raise NeedlingError(f"{where}: sites of what muscles does not name: {', '.join(sorted(stray))}")
    for muscle, named in sites.items():
        _check_sites(muscle, named, where)
    if not isinstance(entry.get("pleura", False), bool):
        raise NeedlingError(f"{where}: pleura must be true or false")
    frozen = {muscle: tuple(named) for muscle, named in sites.items()}
    return Where(tuple(areas), tuple(muscles), frozen, entry.get("pleura", False))


def _check_sites(muscle: str, named: Any, where: str) -> None:
    known = {one.id for one in atlas.load().muscles[muscle].sites}
    if not isinstance(named, list) or not named or not set(named) <= known:
        raise NeedlingError(f"{where}: {muscle}: sites must be some of {', '.join(sorted(known))}")


def _when(told: Any, where: str) -> Condition:
    try:
        when = conditions.read(told)
    except ConditionError as wrong:
        raise NeedlingError(f"{where}: {wrong}") from wrong
    for leaf in when.leaves():
        if "drawn" in leaf or "widespread" in leaf:
            raise NeedlingError(f"{where}: a needle does not ask what was drawn")
        item = items.history().items.get(leaf.get("item", ""))
        if item and item.type == "yes_no" and "unsure" not in leaf["is"]:
            raise NeedlingError(f"{where}: {item.key}: not sure counts as the danger; write yes = [...]")
    return when


def _asked(entry: Mapping[str, Any]) -> Asked:
    where = f"{FILE}: asked"
    _exactly(entry, {"title", "words", "source", "status", "stop", "caution"}, where)
    keys = [*entry["stop"], *entry["caution"]]
    if unknown := [key for key in keys if key not in items.history().items]:
        raise NeedlingError(f"{where}: no such question: {', '.join(unknown)}")
    if "{label}" not in entry["title"]:
        raise NeedlingError(f"{where}: title needs {{label}}")
    return Asked(
        entry["title"],
        _text(entry, "words", where),
        *_sourced(entry, where),
        tuple(entry["stop"]),
        tuple(entry["caution"]),
    )


def _structures(told: Any) -> dict[str, Structure]:
    found = {}
    for entry in told:
        where = f"{FILE}: structure {entry.get('id', '?')}"
        _exactly(entry, {"id", "level", "title"}, where)
        found[entry["id"]] = Structure(entry["id"], _level(entry, where), _text(entry, "title", where))
    if wrong := set(found) ^ (set(AT_RISK) - {"none"}):
        raise NeedlingError(f"{FILE}: structures: one for each that the atlas knows: {', '.join(wrong)}")
    return found


def _pleura(told: Any) -> dict[str, Over]:
    """Raises NeedlingError where a muscle is left out for which the atlas names the pleura."""
    found = {}
    for entry in told:
        where = f"{FILE}: pleura {entry.get('muscle', '?')}"
        _only(entry, {"muscle", "listed", "sites"}, where)
        muscle = entry.get("muscle")
        if muscle not in atlas.load().muscles or muscle in found:
            raise NeedlingError(f"{where}: must be a muscle of the atlas, and stand once")
        if not isinstance(entry.get("listed"), bool):
            raise NeedlingError(f"{where}: listed must be true or false")
        if "sites" in entry:
            _check_sites(muscle, entry["sites"], where)
        found[muscle] = Over(muscle, entry["listed"], tuple(entry.get("sites", ())))
    known = atlas.load().muscles.items()
    named = {id_ for id_, muscle in known if any(one.structure == "pleura" for one in muscle.at_risk)}
    if missing := sorted(named - set(found)):
        raise NeedlingError(f"{FILE}: pleura: the atlas names the pleura for: {', '.join(missing)}")
    return found


def _depth(entry: Mapping[str, Any]) -> Depth:
    where = f"{FILE}: depth {entry.get('id', '?')}"
    _only(entry, {"id", "kind", "mm", "words", "source", "status", "muscles", "sites", "pleura"}, where)
    mm, place = entry.get("mm"), _where(entry, where)
    if entry.get("kind") not in DEPTH_KINDS or isinstance(mm, bool) or not isinstance(mm, int | float):
        raise NeedlingError(f"{where}: kind must be one of {', '.join(DEPTH_KINDS)}, mm a number")
    if place.is_person or mm <= 0:
        raise NeedlingError(f"{where}: mm must be above 0, and muscles or pleura say where it counts")
    words = _text(entry, "words", where)
    return Depth(_text(entry, "id", where), entry["kind"], mm, words, *_sourced(entry, where), place)


def _visit(told: Any) -> dict[str, Rule]:
    found = {rule.id: rule for rule in (_rule(entry, of_somebody=False) for entry in told)}
    if wrong := set(found) ^ set(OF_VISIT):
        raise NeedlingError(f"{FILE}: visit: one for each of {', '.join(OF_VISIT)}: {', '.join(wrong)}")
    return found


def _late_advice(entry: Mapping[str, Any]) -> LateAdviceText:
    where = f"{FILE}: late_advice"
    title, words, call = (_text(entry, one, where) for one in ("title", "words", "call"))
    return LateAdviceText(title, words, call, *_sourced(entry, where))


def _sourced(entry: Mapping[str, Any], where: str) -> tuple[str, str]:
    if entry.get("status") not in STATUSES:
        raise NeedlingError(f"{where}: status must be one of {', '.join(STATUSES)}")
    return _text(entry, "source", where), entry["status"]


def _level(entry: Mapping[str, Any], where: str) -> str:
    if entry.get("level") not in LEVELS:
        raise NeedlingError(f"{where}: level must be one of {', '.join(LEVELS)}")
    return str(entry["level"])


def _text(entry: Mapping[str, Any], name: str, where: str) -> str:
    value = entry.get(name)
    if not isinstance(value, str) or not value.strip():
        raise NeedlingError(f"{where}: {name} must be a text")
    return value.strip()


def _own_ids(found: list[Entry], what: str) -> tuple[Entry, ...]:
    ids = [one.id for one in found]
    if twice := sorted({one for one in ids if ids.count(one) > 1}):
        raise NeedlingError(f"{FILE}: {what} {', '.join(twice)}: stands twice")
    return tuple(found)


def _only(entry: Mapping[str, Any], allowed: set[str], where: str) -> None:
    if unknown := set(entry) - allowed:
        raise NeedlingError(f"{where}: unknown key {', '.join(sorted(unknown))}")


def _exactly(entry: Mapping[str, Any], needed: set[str], where: str) -> None:
    _only(entry, needed, where)
    if missing := needed - set(entry):
        raise NeedlingError(f"{where}: lacks {', '.join(sorted(missing))}")
