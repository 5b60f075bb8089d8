"""Sentences about roots, plexuses and nerves: what was abnormal, what was tested and normal."""

from collections.abc import Iterable, Iterator, Mapping

from bodymaps.reasoning import items, neuro, signs
from bodymaps.reasoning.items import NOT_TESTED, Item
from charting.assessment.made import NERVES, Made, Record, joined, small, with_side
from charting.assessment.written import OPEN, RULED_OUT, SOURCE, By

# What is graded on a scale from normal down, said once for all of it that is normal.
SAID = {
    "touch": "light touch",
    "pin": "pin prick",
    "nerve_touch": "touch",
    "strength": "strength",
    "reflex": "reflexes",
    "reflex_clinic": "reflexes",
}
# So many are said where nobody thought of them: those that explain what nothing thought of explains.
MOST_FITS = 2


def of_nerves(record: Record, thought_of: Iterable[By]) -> Iterator[Made]:
    """Of every root, plexus and nerve in `thought_of`, and of the few that the findings fit best."""
    found = {(fit.layer, fit.id, fit.side): fit.fits for fit in neuro.fits(record.case)}
    nerves = [by for by in thought_of if by[0] in NERVES]
    for by in [*nerves, *_others(nerves, found)]:
        made = _made(by, found.get(by, ()), record)
        if made:
            yield made


def _others(nerves: Iterable[By], found: Mapping[By, tuple[str, ...]]) -> list[By]:
    """The best of the fits that account for a finding which none of `nerves` accounts for."""
    told = {said for by in nerves for said in found.get(by, ())}
    return [by for by, fits in found.items() if not told.issuperset(fits)][:MOST_FITS]


def unexamined(by: By, record: Record) -> Made | None:
    """That nothing of a root, plexus or nerve was tested; None where something was, or nothing can be."""
    keys = _keys(by)
    if not keys or any(record.case.finding(key, by[2]) for key in keys):
        return None
    text = f"{with_side(by, record.atlas)}: no test of it is on record."
    return Made(f"unexamined:{':'.join(by)}", OPEN, text, by)


def _made(by: By, fits: tuple[str, ...], record: Record) -> Made | None:
    """`fits`: its abnormal findings in words, as neuro has them."""
    normal, negative, untested = _tested(by, fits, record)
    if not (fits or normal or negative):
        return None
    abnormal = [small(said.replace(f", {by[2]}:", ":")) for said in fits]
    parts = (
        ", ".join(abnormal),
        f"{', '.join(normal)} normal" if normal else "",
        ", ".join(negative),
        f"not tested: {', '.join(untested)}" if untested else "",
    )
    text = f"{with_side(by, record.atlas)}: {joined(parts)}."
    return Made(f"nerve:{':'.join(by)}", SOURCE if fits else RULED_OUT, text, by)


def _tested(by: By, fits: tuple[str, ...], record: Record) -> tuple[list[str], list[str], list[str]]:
    """What is normal by kind of test, single tests that are negative, and what was not tested (NT)."""
    normal, negative, untested = [], [], []
    for key in _keys(by):
        item, value = items.findings().items[key], record.case.finding(key, by[2])
        if value == NOT_TESTED:
            untested.append(SAID.get(item.group, item.label))
        elif isinstance(value, str) and _is_normal(item, value) and not _is_among(item, fits):
            if item.group in SAID:
                normal.append(f"{'other ' if _has_group(item, fits) else ''}{SAID[item.group]}")
            else:
                negative.append(f"{item.label}: {item.words_for(value)}")
    return _once(normal), negative, _once(untested)


def _keys(by: By) -> list[str]:
    """Every finding listed for it, of all its parts, once."""
    layer, name, _ = by
    known = signs.load()
    held = (each for each in known.candidates if (each.layer, each.id) == (layer, name))
    return _once(key for each in held for one in each.listed for key in known.signs[one].keys)


def _is_normal(item: Item, value: str) -> bool:
    return value in items.findings().scale_of(item).within_normal


def _is_among(item: Item, fits: tuple[str, ...]) -> bool:
    """A reflex that is normal but lower than the other side is told among the abnormal ones."""
    return any(f", {item.label.lower()}," in said.lower() for said in fits if _has_group(item, (said,)))


def _has_group(item: Item, fits: tuple[str, ...]) -> bool:
    return any(said.startswith(f"{signs.load().said.get(item.group, item.group)},") for said in fits)


def _once(found: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(found))
