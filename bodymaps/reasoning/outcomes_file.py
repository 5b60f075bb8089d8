"""data/reasoning/outcomes.toml read and checked."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from bodymaps import parts
from bodymaps.reasoning import outcome_instruments as made_of
from bodymaps.reasoning.outcome_instruments import Cited, Form, Instrument, Outcomes, Rule

FILE = Path(__file__).parent.parent / "data" / "reasoning" / "outcomes.toml"
NAME = FILE.name
MEMBERS = {
    "id", "name", "about", "way", "low", "high", "better", "unit", "licence", "alone", "why_not_alone",
    "parts", "member", "form", "activities", "total", "scoring", "banding", "rule", "note",
}  # fmt: skip
RULE = {"kind", "study", "size", "lower", "unit", "confidence", "label", "parts", "of"}


class OutcomesError(ValueError):
    """The file cannot be used; the message names the entry and what to mend."""


class Study(NamedTuple):
    work: str
    population: str
    status: str


Studies = Mapping[str, Study]
T = TypeVar("T")


@cache
def load() -> Outcomes:
    """The file, checked. Raises OutcomesError."""
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Outcomes:
    """Raises OutcomesError with the entry and the reason."""
    studies = {entry["id"]: _study(entry) for entry in _each(data, "study")}
    found = {entry["id"]: _instrument(entry, studies) for entry in _each(data, "instrument")}
    return Outcomes(_text(data, "version", NAME), found)


def _each(data: Mapping[str, Any], kind: str) -> Sequence[Mapping[str, Any]]:
    """The entries of one kind, each with an id of its own."""
    entries: Sequence[Mapping[str, Any]] = data.get(kind, [])
    if not entries:
        raise OutcomesError(f"{NAME}: at least one {kind} is needed")
    ids = [_text(entry, "id", f"{NAME}: {kind} {number}") for number, entry in enumerate(entries, 1)]
    if twice := {name for name in ids if ids.count(name) > 1}:
        raise OutcomesError(f"{NAME}: {kind} {', '.join(sorted(twice))}: there are two of this id")
    return entries


def _study(entry: Mapping[str, Any]) -> Study:
    where = f"{NAME}: study {entry['id']}"
    status = _among(entry, "status", made_of.STATUSES, where)
    return Study(_text(entry, "work", where), entry.get("population", ""), status)


def _instrument(entry: Mapping[str, Any], studies: Studies) -> Instrument:
    where = f"{NAME}: instrument {entry['id']}"
    _only(entry, MEMBERS, where)
    low, high = _number(entry, "low", where), _number(entry, "high", where)
    if low >= high:
        raise OutcomesError(f"{where}: low must be below high")
    found = Instrument(
        id=entry["id"],
        name=_text(entry, "name", where),
        about=_text(entry, "about", where),
        way=_among(entry, "way", made_of.WAYS, where),
        low=low,
        high=high,
        better=_among(entry, "better", (made_of.LOWER, made_of.HIGHER), where),
        unit=entry.get("unit", ""),
        licence=_text(entry, "licence", where),
        alone=entry.get("alone") is True,
        why_not_alone=entry.get("why_not_alone", ""),
        parts=_parts(entry, where),
        members=tuple(_made(made_of.Member, one, f"{where}: member") for one in entry.get("member", ())),
        forms=tuple(_form(one, studies, f"{where}: form") for one in entry.get("form", ())),
        activities=_made(made_of.Activities, entry["activities"], f"{where}: activities")
        if "activities" in entry
        else None,
        total=_made(made_of.Total, entry["total"], f"{where}: total") if "total" in entry else None,
        scoring=_cited(entry, "scoring", studies, where),
        bands=_bands(entry, studies, where),
        rules=tuple(
            _rule(one, studies, f"{where}: rule {number}")
            for number, one in enumerate(entry.get("rule", ()), 1)
        ),
        notes=_cited(entry, "note", studies, where),
    )
    _fits_together(found, where)
    return found


def _fits_together(one: Instrument, where: str) -> None:
    """What the way of an instrument needs, and what a licence forbids."""
    needs: Mapping[str, object] = {
        made_of.MEMBERS: one.members,
        made_of.MEAN: one.members,
        made_of.ACTIVITIES: one.activities,
        made_of.CHOICE: one.forms,
        made_of.TOTAL: one.total,
    }
    if not needs[one.way]:
        raise OutcomesError(f"{where}: its way {one.way!r} needs an entry of that kind")
    if not one.scoring:
        raise OutcomesError(f"{where}: scoring must say how the score is made")
    if one.is_licensed and (one.alone or one.way != made_of.TOTAL or one.members or one.activities):
        raise OutcomesError(f"{where}: a licensed instrument holds a total only, and no words of its items")
    if one.alone is bool(one.why_not_alone):
        raise OutcomesError(f"{where}: why_not_alone goes with alone = false, and only with it")
    if one.alone and any(not (each.ask and each.low and each.high) for each in one.members):
        raise OutcomesError(f"{where}: each member that is asked alone needs ask, low and high")


def _form(entry: Mapping[str, Any], studies: Studies, where: str) -> Form:
    study = _cited_study(entry, studies, where)
    choices = tuple((int(number), str(words)) for number, words in entry.get("choices", ()))
    rest = {name: value for name, value in entry.items() if name not in ("study", "choices")}
    given = {**rest, "choices": choices, "source": study.work, "status": study.status}
    found = _made(Form, given, where)
    if [number for number, _ in choices] != list(range(found.low, found.high + 1)):
        raise OutcomesError(f"{where} {found.id}: choices must number {found.low} to {found.high} in order")
    if not {found.same, found.much} <= {number for number, _ in choices}:
        raise OutcomesError(f"{where} {found.id}: same and much must be among its numbers")
    _among(entry, "better", (made_of.LOWER, made_of.HIGHER), f"{where} {found.id}")
    return found


def _bands(entry: Mapping[str, Any], studies: Studies, where: str) -> made_of.Bands | None:
    if "banding" not in entry:
        return None
    said = entry["banding"]
    study = _cited_study(said, studies, f"{where}: banding")
    bands = tuple(made_of.Band(float(upto), str(words)) for upto, words in said["bands"])
    ends = [band.upto for band in bands]
    if ends != sorted(set(ends)) or ends[-1:] != [entry["high"]]:
        raise OutcomesError(f"{where}: bands must rise, and end at {entry['high']:g}")
    return made_of.Bands(bands, study.work, study.status, said.get("remark", ""))


def _rule(entry: Mapping[str, Any], studies: Studies, where: str) -> Rule:
    _only(entry, RULE, where)
    study = _cited_study(entry, studies, where)
    size = _number(entry, "size", where)
    lower = _number({"lower": size, **entry}, "lower", where)
    if not 0 < lower <= size:
        raise OutcomesError(f"{where}: size must be above 0, and lower not above size")
    kind = _among(entry, "kind", (made_of.IMPORTANT, made_of.DETECTABLE), where)
    confidence = _among({"confidence": "", **entry}, "confidence", made_of.LEVELS, where)
    if bool(confidence) is not (kind == made_of.DETECTABLE):
        raise OutcomesError(f"{where}: a detectable change needs its confidence, an important one has none")
    if not study.population:
        raise OutcomesError(f"{where}: its study must say whom it was found in (population)")
    return Rule(
        kind=kind,
        size=size,
        lower=lower,
        unit=_among(entry, "unit", made_of.UNITS, where),
        confidence=confidence,
        population=study.population,
        source=study.work,
        status=study.status,
        label=entry.get("label", ""),
        parts=_parts(entry, where),
        of=_among({"of": "", **entry}, "of", ("", made_of.ONE), where),
    )


def _cited(entry: Mapping[str, Any], kind: str, studies: Studies, where: str) -> tuple[Cited, ...]:
    found = []
    for one in entry.get(kind, ()):
        study = _cited_study(one, studies, f"{where}: {kind}")
        found.append(Cited(_text(one, "words", f"{where}: {kind}"), study.work, study.status))
    return tuple(found)


def _cited_study(entry: Mapping[str, Any], studies: Studies, where: str) -> Study:
    if entry.get("study") not in studies:
        raise OutcomesError(f"{where}: no such study: {entry.get('study', '?')}")
    return studies[entry["study"]]


def _parts(entry: Mapping[str, Any], where: str) -> tuple[str, ...]:
    known = {part.id for part in parts.load().parts}
    named = tuple(entry.get("parts", ()))
    if unknown := [name for name in named if name not in known]:
        raise OutcomesError(f"{where}: {', '.join(unknown)} is no part of the body")
    return named


def _made(kind: type[T], entry: Mapping[str, Any], where: str) -> T:
    """A dataclass from an entry with the very same members."""
    try:
        return kind(**entry)
    except TypeError as problem:
        raise OutcomesError(f"{where}: {problem}") from problem


def _only(entry: Mapping[str, Any], known: set[str], where: str) -> None:
    if unknown := set(entry) - known:
        raise OutcomesError(f"{where}: unknown member {', '.join(sorted(unknown))}")


def _among(entry: Mapping[str, Any], name: str, allowed: Sequence[str], where: str) -> str:
    value = entry.get(name)
    if value not in allowed:
        shown = ", ".join(repr(each) for each in allowed)
        raise OutcomesError(f"{where}: {name} must be one of {shown}, not {value!r}")
    return str(value)


def _text(entry: Mapping[str, Any], name: str, where: str) -> str:
    value = entry.get(name)
    if not isinstance(value, str) or not value.strip():
        raise OutcomesError(f"{where}: {name} must be a text")
    return value


def _number(entry: Mapping[str, Any], name: str, where: str) -> float:
    value = entry.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise OutcomesError(f"{where}: {name} must be a number")
    return float(value)
