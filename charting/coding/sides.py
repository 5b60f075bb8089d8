"""Which side a code is of, read from its title, and the same code of another side."""

import re
from collections.abc import Iterator

from charting.coding import table
from charting.coding.evidence import SIDES
from charting.coding.table import Entry

BOTH = frozenset(SIDES)
OF_BOTH = re.compile(r"\b(bilateral|both)\b", re.IGNORECASE)
OF_ONE = re.compile(r"\b(right|left)\b", re.IGNORECASE)
OF_NONE = re.compile(r"\bunspecified\b", re.IGNORECASE)


def sides_of(entry: Entry) -> frozenset[str]:
    """{"right"}, {"left"}, both, or none: where the list has the same for another side beside it. A "left"
    that is no choice ("left ventricle") is no side.
    """
    said = _said(entry.title)
    others = {_said(other.title) for other in beside(entry)} if said else set()
    return said if others - {frozenset(), said} else frozenset()


def is_unsaid(entry: Entry) -> bool:
    """Whether it leaves the side open where codes beside it say one."""
    is_open = OF_NONE.search(entry.title) and not _said(entry.title)
    return bool(is_open) and any(sides_of(other) for other in beside(entry))


def on_sides(entry: Entry, sides: frozenset[str]) -> tuple[Entry, ...]:
    """The codes beside it for these sides: that of both where there is one, else one for each."""
    held = {said: other for other in beside(entry) if (said := _said(other.title)) and _is_same(other, entry)}
    if sides in held:
        return (held[sides],)
    return tuple(held[each] for side in SIDES if side in sides and (each := frozenset({side})) in held)


def beside(entry: Entry) -> Iterator[Entry]:
    """The other billable codes of the same code above, for the same encounter."""
    known = table.load()
    own = known.at(entry.row)
    is_extended = own.code != entry.code
    above = next(known.above(own), None)
    for each in known.below(above) if above else ():
        if each.code != own.code:
            alike = known.below(each) if is_extended and not each.billable else (each,)
            yield from (one for one in alike if not is_extended or one.code[-1] == entry.code[-1])


def _said(title: str) -> frozenset[str]:
    if OF_BOTH.search(title):
        return BOTH
    found = frozenset(word.casefold() for word in OF_ONE.findall(title))
    return found if len(found) == 1 else frozenset()


def _is_same(one: Entry, other: Entry) -> bool:
    """Whether two titles differ in nothing but the side."""
    return _without_side(one.title) == _without_side(other.title)


def _without_side(title: str) -> tuple[str, ...]:
    left = OF_NONE.sub("", OF_BOTH.sub("", OF_ONE.sub("", title.casefold())))
    return tuple(
        word.rstrip("s") for word in re.findall(r"[a-z0-9]+", left) if word not in ("of", "in", "side")
    )
