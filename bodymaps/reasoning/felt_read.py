"""The muscles of a drawing file, `findings.muscles`: a list of objects, each one site of one muscle on one
side, checked against the atlas and the signs.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from bodymaps import atlas
from bodymaps.patterns import SIDES
from bodymaps.reasoning.felt import ANSWERS, IDS, KPA, STRENGTH, UNITS, Felt, FeltError, Pressure, load

MEMBER = "findings.muscles"
PRESSURE_MEMBERS = ("unit", "trials", "tip_cm2")
MEMBERS = ("muscle", "side", "site", *IDS, STRENGTH, "pain", "pressure")


def muscles(told: Any, member: str = MEMBER) -> tuple[Felt, ...]:
    """Every entry in its order. Raises FeltError naming the member: "findings.muscles[2].band"."""
    if told is None:
        return ()
    if not isinstance(told, list):
        raise FeltError(member, "must be a list of objects, one for each site that was examined")
    found: dict[tuple[str, str, str], Felt] = {}
    for number, entry in enumerate(told):
        felt = one(entry, f"{member}[{number}]")
        key = felt.muscle, felt.side, felt.site
        if key in found:
            site = f", site {felt.site}" if felt.site else ""
            raise FeltError(f"{member}[{number}]", f"{felt.muscle}, {felt.side}{site} is there twice")
        found[key] = felt
    return tuple(found.values())


def one(entry: Any, where: str) -> Felt:
    """One entry. Raises FeltError."""
    if not isinstance(entry, dict):
        raise FeltError(where, "must be an object with muscle, side and what was found")
    if unknown := sorted(set(entry) - set(MEMBERS)):
        raise FeltError(f"{where}.{unknown[0]}", f"unknown key; taken are {', '.join(MEMBERS)}")
    muscle = _muscle(entry.get("muscle"), f"{where}.muscle")
    return Felt(
        muscle=muscle,
        side=_among(entry.get("side"), SIDES, f"{where}.side"),
        site=_site(muscle, entry.get("site"), f"{where}.site"),
        signs=_signs(entry, where),
        pain=_pain(entry.get("pain"), f"{where}.pain"),
        pressure=_pressure(entry.get("pressure"), f"{where}.pressure"),
    )


def _muscle(value: Any, where: str) -> str:
    if not isinstance(value, str) or value not in atlas.load().muscles:
        raise FeltError(where, f"{value!r} is no muscle of the atlas (export_atlas lists their ids)")
    return value


def _site(muscle: str, value: Any, where: str) -> str:
    if value is None or value == "":
        return ""
    return _among(value, tuple(site.id for site in atlas.load().muscles[muscle].sites), where)


def _signs(entry: Mapping[str, Any], where: str) -> dict[str, str]:
    found = {sign: answer(entry[sign], f"{where}.{sign}") for sign in IDS if sign in entry}
    if STRENGTH in entry:
        grades = tuple(grade.id for grade in load().strength.grades)
        found[STRENGTH] = _among(entry[STRENGTH], grades, f"{where}.{STRENGTH}")
    return found


def answer(value: Any, where: str) -> str:
    """ "yes", "no" or "NT"; true and false are taken. Raises FeltError."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _among(value, ANSWERS, where)


def _among(value: Any, allowed: tuple[str, ...], where: str) -> str:
    if isinstance(value, str) and value in allowed:
        return value
    raise FeltError(where, f"{value!r} is not one of {', '.join(allowed)}")


def _pain(value: Any, where: str) -> int | None:
    least, most = load().limits.pain
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise FeltError(where, f"must be a whole number, {least} to {most}")
    return value


def _pressure(value: Any, where: str) -> Pressure | None:
    if value is None:
        return None
    if not isinstance(value, dict) or not {"unit", "trials"} <= set(value) <= set(PRESSURE_MEMBERS):
        raise FeltError(where, "needs unit and trials, tip_cm2 where it is known, nothing else")
    limits = load().limits
    unit = _among(value["unit"], UNITS, f"{where}.unit")
    trials = value["trials"]
    if not isinstance(trials, list) or not 1 <= len(trials) <= limits.trials:
        raise FeltError(f"{where}.trials", f"must be a list of 1 to {limits.trials} readings")
    factor = 1.0 if unit == KPA else limits.kpa_per_kgf_cm2
    span = limits.kpa[0] / factor, limits.kpa[1] / factor
    tip = value.get("tip_cm2")
    return Pressure(
        unit=unit,
        trials=tuple(_number(one, span, unit, f"{where}.trials[{at}]") for at, one in enumerate(trials)),
        tip_cm2=None if tip is None else _number(tip, limits.tip_cm2, "cm2", f"{where}.tip_cm2"),
    )


def _number(value: Any, span: tuple[float, float], unit: str, where: str) -> float:
    least, most = span
    is_number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    if not is_number or not least <= value <= most:
        raise FeltError(where, f"must be a number in {unit}, {least:.3g} to {most:.4g}")
    return float(value)
