"""data/reasoning/clusters.toml and clusters_joints.toml read once and checked: published likelihood ratios of
tests and clusters.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from bodymaps.reasoning import items
from bodymaps.reasoning.case import OLDEST
from bodymaps.reasoning.ratios import (
    RESULTS,
    STATUS,
    About,
    ClusterRule,
    Rates,
    Ratios,
    RatiosError,
    Row,
    SingleRule,
    Test,
)

FILE, JOINTS = "clusters.toml", "clusters_joints.toml"


@cache
def load() -> Ratios:
    """Both files together: the tests of the neuro screen, then those of the joints."""
    for kind in ("clusters", "singles", "about"):
        if twice := _ids(screen(), kind) & _ids(joints(), kind):
            raise RatiosError(f"{JOINTS}: stands in {FILE} already: {', '.join(sorted(twice))}")
    return Ratios(
        version=f"{screen().version}, {joints().version}",
        about={**screen().about, **joints().about},
        clusters=(*screen().clusters, *joints().clusters),
        singles=(*screen().singles, *joints().singles),
    )


@cache
def screen() -> Ratios:
    """The tests of the neuro screen alone."""
    return read(_decoded(FILE), FILE)


@cache
def joints() -> Ratios:
    """The provocation tests of the joints alone."""
    return read(_decoded(JOINTS), JOINTS)


def _ids(part: Ratios, kind: str) -> set[str]:
    return {one if isinstance(one, str) else one.id for one in getattr(part, kind)}


def _decoded(file: str) -> dict[str, Any]:
    return tomllib.loads((items.FOLDER / file).read_text(encoding="utf-8"))


def read(data: Mapping[str, Any], file: str = FILE) -> Ratios:
    """Check and freeze decoded data. Raises RatiosError with file, entry and reason."""
    about = {one.id: one for one in (_about(entry, file) for entry in data.get("about", ()))}
    found = Ratios(
        version=_text(data, "version", file),
        about=about,
        clusters=tuple(_cluster(entry, about, file) for entry in data.get("cluster", ())),
        singles=tuple(_single(entry, about, file) for entry in data.get("single", ())),
    )
    for ids in ([one.id for one in found.clusters], [one.id for one in found.singles]):
        if not ids or len(set(ids)) < len(ids):
            raise RatiosError(f"{file}: clusters and singles are needed, each with an id of its own")
    return found


def _about(entry: Mapping[str, Any], file: str) -> About:
    where = f"{file}: about {entry.get('id', '?')}"
    _only(entry, {"id", "name", "pretest", "cases", "of", "whose", "status"}, where)
    key = _text(entry, "pretest", where) if "pretest" in entry else ""
    if key and (key not in items.findings().items or items.findings().items[key].unit != "%"):
        raise RatiosError(f"{where}: pretest must be the key of a finding in per cent")
    default = None
    if "cases" in entry or "of" in entry:
        cases, of = entry.get("cases"), entry.get("of")
        if not isinstance(cases, int) or not isinstance(of, int) or not 0 < cases < of:
            raise RatiosError(f"{where}: cases and of must be whole numbers, cases the smaller")
        _text(entry, "whose", where)
        _status(entry, where)
        default = cases / of
    return About(_text(entry, "id", where), _text(entry, "name", where), key, default, entry.get("whose", ""))


def _cluster(entry: Mapping[str, Any], about: Mapping[str, About], file: str) -> ClusterRule:
    where = f"{file}: cluster {entry.get('id', '?')}"
    shared = {"id", "about", "population", "limits", "source", "status"}
    _only(entry, shared | {"title", "sided", "items", "rows", "no_row"}, where)
    tests = tuple(_test(one, where) for one in entry.get("items", ()))
    if len(tests) < 2 or not entry.get("rows"):
        raise RatiosError(f"{where}: at least two items and one row are needed")
    rows = tuple(_row(one, len(tests), where) for one in entry["rows"])
    taken = [count for row in rows for count in range(row.least, row.most + 1)]
    if len(set(taken)) < len(taken):
        raise RatiosError(f"{where}: two rows speak for the same number of positives")
    if not isinstance(entry.get("sided"), bool):
        raise RatiosError(f"{where}: sided must be true or false")
    return ClusterRule(
        id=_text(entry, "id", where),
        about=_of_about(entry, about, where),
        title=_text(entry, "title", where),
        sided=entry["sided"],
        tests=tests,
        rows=rows,
        no_row=_text(entry, "no_row", where),
        population=_text(entry, "population", where),
        limits=_texts(entry, "limits", where),
        source=_text(entry, "source", where),
        status=_status(entry, where),
    )


def _single(entry: Mapping[str, Any], about: Mapping[str, About], file: str) -> SingleRule:
    where = f"{file}: single {entry.get('id', '?')}"
    by_result = {f"{name}_{result}" for name in ("lr", "interval", "says") for result in RESULTS}
    shared = {"id", "about", "population", "limits", "source", "status"}
    rates = {"sensitivity", "specificity", "rates", "to_flags"}
    _only(entry, shared | by_result | rates | {"finding", "positive", "negative", "below"}, where)
    told = {name: entry[name] for name in ("finding", "positive", "below") if name in entry}
    test = _test(told, where)
    says = {result: _text(entry, f"says_{result}", where) for result in RESULTS if f"says_{result}" in entry}
    lr = _lr(entry, where)
    if not says or not set(lr) <= set(says):
        raise RatiosError(f"{where}: every result with a ratio needs says_positive or says_negative")
    negative = _texts(entry, "negative", where)
    if not set(negative) <= {one.id for one in items.findings().items[test.key].choices}:
        raise RatiosError(f"{where}: negative must be grades of {test.key}")
    return SingleRule(
        id=_text(entry, "id", where),
        about=_of_about(entry, about, where),
        test=test,
        negative=negative,
        lr=lr,
        says=says,
        intervals={
            result: _interval(entry, f"interval_{result}", lr[result], where)
            for result in lr
            if f"interval_{result}" in entry
        },
        to_flags=entry.get("to_flags", False),
        population=entry.get("population", ""),
        limits=_texts(entry, "limits", where),
        source=_text(entry, "source", where),
        status=_status(entry, where),
        rates=_rates(entry, where),
    )


def _rates(entry: Mapping[str, Any], where: str) -> Rates | None:
    """Sensitivity and specificity that ratios are computed from, or that are printed beside ratios."""
    told = entry.get("rates", [entry[name] for name in ("sensitivity", "specificity") if name in entry])
    if not isinstance(told, list) or len(told) not in ((2,) if "rates" in entry else (0, 2)):
        raise RatiosError(f"{where}: rates needs sensitivity and specificity")
    if "rates" in entry and "sensitivity" in entry:
        raise RatiosError(
            f"{where}: rates stand beside printed ratios, not beside sensitivity and specificity"
        )
    if not all(isinstance(one, int | float) and 0 <= one <= 1 for one in told):
        raise RatiosError(f"{where}: sensitivity and specificity must lie between 0 and 1")
    return (float(told[0]), float(told[1])) if told else None


def _lr(entry: Mapping[str, Any], where: str) -> dict[str, float]:
    """Ratios as printed, or computed from sensitivity and specificity, which are then kept whole."""
    printed = {result: entry[f"lr_{result}"] for result in RESULTS if f"lr_{result}" in entry}
    if "sensitivity" in entry or "specificity" in entry:
        right, clear = entry.get("sensitivity", 0), entry.get("specificity", 0)
        if printed or not (0 < right < 1 and 0 < clear < 1):
            raise RatiosError(f"{where}: needs both sensitivity and specificity, 0 to 1, or printed ratios")
        return {"positive": right / (1 - clear), "negative": (1 - right) / clear}
    return {result: _number(value, f"lr_{result}", where) for result, value in printed.items()}


def _test(entry: Mapping[str, Any], where: str) -> Test:
    _only(entry, {"finding", "positive", "below", "age_above"}, where)
    if "age_above" in entry:
        above = entry["age_above"]
        if set(entry) != {"age_above"} or not isinstance(above, int) or not 0 <= above <= OLDEST:
            raise RatiosError(f"{where}: age_above must be whole years and stand alone")
        return Test("", age_above=above)
    key, known = _text(entry, "finding", where), items.findings().items
    if key not in known:
        raise RatiosError(f"{where}: no finding has the key {key}")
    if known[key].type == "number":
        return Test(key, below=_number(entry.get("below"), "below", where))
    positive = _texts(entry, "positive", where)
    if not positive or not set(positive) <= {one.id for one in known[key].choices}:
        raise RatiosError(f"{where}: positive must be grades of {key}")
    return Test(key, positive)


def _row(entry: Mapping[str, Any], count: int, where: str) -> Row:
    _only(
        entry,
        {"positives", "at_least", "at_most", "lr", "says", "interval", "interval_status", "rates", "limits"},
        where,
    )
    bounds = [name for name in ("positives", "at_least", "at_most") if name in entry]
    if len(bounds) != 1 or not isinstance(entry[bounds[0]], int) or not 0 <= entry[bounds[0]] <= count:
        raise RatiosError(f"{where}: a row needs one of positives, at_least, at_most, from 0 to {count}")
    number = entry[bounds[0]]
    lr = _number(entry.get("lr"), "lr", where)
    if "interval" in entry and entry.get("interval_status") not in STATUS:
        raise RatiosError(f"{where}: interval_status must be one of {', '.join(STATUS)}")
    return Row(
        least=0 if bounds[0] == "at_most" else number,
        most=count if bounds[0] == "at_least" else number,
        lr=lr,
        says=_text(entry, "says", where),
        interval=_interval(entry, "interval", lr, where) if "interval" in entry else None,
        limits=(*_interval_words(entry), *_texts(entry, "limits", where)),
        rates=_rates(entry, where),
    )


def _interval_words(entry: Mapping[str, Any]) -> tuple[str, ...]:
    if "interval" not in entry:
        return ()
    low, high = entry["interval"]
    memory = "" if entry["interval_status"] == "checked" else f", {entry['interval_status']}"
    return (f"95 % interval of {entry['lr']:g}: {low:g} to {high:g}{memory}.",)


def _interval(entry: Mapping[str, Any], name: str, lr: float, where: str) -> tuple[float, float]:
    told = entry[name]
    if not isinstance(told, list) or len(told) != 2:
        raise RatiosError(f"{where}: {name} needs its lower and its upper end")
    low, high = (_number(one, name, where) for one in told)
    if not low <= lr <= high:
        raise RatiosError(f"{where}: {name} {low:g} to {high:g} does not hold the ratio {lr:g}")
    return low, high


def _of_about(entry: Mapping[str, Any], about: Mapping[str, About], where: str) -> About:
    if entry.get("about") not in about:
        raise RatiosError(f"{where}: about must be one of {', '.join(about)}")
    return about[entry["about"]]


def _status(entry: Mapping[str, Any], where: str) -> str:
    if entry.get("status") not in STATUS:
        raise RatiosError(f"{where}: status must be one of {', '.join(STATUS)}")
    return str(entry["status"])


def _number(value: Any, name: str, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < math.inf:
        raise RatiosError(f"{where}: {name} must be a number above 0")
    return float(value)


def _texts(entry: Mapping[str, Any], name: str, where: str) -> tuple[str, ...]:
    found = entry.get(name, [])
    if not isinstance(found, list) or not all(isinstance(one, str) for one in found):
        raise RatiosError(f"{where}: {name} must be a list of texts")
    return tuple(found)


def _text(entry: Mapping[str, Any], name: str, where: str) -> str:
    found = entry.get(name)
    if not isinstance(found, str) or not found.strip():
        raise RatiosError(f"{where}: {name} must be a text")
    return found


def _only(entry: Mapping[str, Any], allowed: Iterable[str], where: str) -> None:
    if unknown := set(entry) - set(allowed):
        raise RatiosError(f"{where}: unknown member {', '.join(sorted(unknown))}")
