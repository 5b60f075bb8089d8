"""Whether pain has come nearer to the spine or gone farther from it, side by side and limb by limb.

What was seen, and no more: two drawings of two days can't show how it came about or what follows. Numbers
and their status: data/compare.toml.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bodymaps import parts, spine
from bodymaps.compare_file import LimbPlaces, rules
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.skin import Skin
from bodymaps.spine import Distance

SIDES = ("right", "left")
# The trade's word, for what it is used for (common practice), and why it is not used here.
CENTRAL = (
    "Outer pain gone while pain near the spine stays is called centralisation where it comes about under "
    "repeated movements; two drawings do not show how it came about."
)


@dataclass(frozen=True)
class SideMove:
    """One side of the body. `direction`: "towards", "away", "neither", "unclear", "gone", "new", "none"."""

    side: str
    before: Distance | None
    after: Distance | None
    direction: str
    words: str


@dataclass(frozen=True)
class LimbMove:
    """How far down one limb pain is drawn: words of the farthest place, "" for none; `root_before`,
    `root_after`: whether it is drawn near the spine too. `direction`: "towards", "away", "same".
    """

    limb: str
    side: str
    before: str
    after: str
    root_before: bool
    root_after: bool
    direction: str
    words: str


def sides(before: Mapping[str, Area], after: Mapping[str, Area], skin: Skin) -> tuple[SideMove, ...]:
    """Right and left, by how far from the spine the drawn skin lies."""
    ways = spine.ways(skin)
    first, second = ways.of(before), ways.of(after)
    return tuple(side_move(side, first[side], second[side]) for side in SIDES)


def side_move(side: str, before: Distance | None, after: Distance | None) -> SideMove:
    found = direction(before, after, rules().least_mm)
    return SideMove(side, before, after, found, _side_words(side, before, after, found))


def direction(before: Distance | None, after: Distance | None, least_mm: float) -> str:
    """By the farthest pain, and only where the middle of it does not say the opposite as loudly."""
    if before is None or after is None:
        return "none" if before is after else "new" if before is None else "gone"
    farthest, middle = after.farthest - before.farthest, after.mean - before.mean
    if abs(farthest) < least_mm:
        return "neither"
    if farthest * middle < 0 and abs(middle) >= least_mm:
        return "unclear"
    return "towards" if farthest < 0 else "away"


def _side_words(side: str, before: Distance | None, after: Distance | None, found: str) -> str:
    if before is None or after is None:
        return {
            "none": f"No pain is drawn on the {side} in either.",
            "gone": f"On the {side} no pain is drawn any more.",
            "new": f"On the {side} pain is drawn now, and none was before.",
        }[found]
    ends = f"it reached {_cm(before.farthest)} from it and now reaches {_cm(after.farthest)}"
    moved = {
        "towards": "pain has moved towards the spine",
        "away": "pain has moved away from the spine",
        "neither": f"pain has moved less than {_cm(rules().least_mm)} towards the spine or away from it",
        "unclear": "the farthest pain and the middle of it have moved in opposite directions from the spine",
    }
    return f"On the {side} {moved[found]}: {ends}."


def _cm(mm: float) -> str:
    return f"{mm / 10:.0f} cm"


def limbs(before: Sequence[Mark], after: Sequence[Mark]) -> tuple[LimbMove, ...]:
    """The limbs beyond whose root pain is drawn in either drawing, arms first, right first."""
    first, second = set(parts.parts_drawn(before)), set(parts.parts_drawn(after))
    found = [_limb_move(limb, side, first, second) for limb in rules().limbs for side in SIDES]
    return tuple(one for one in found if one.before or one.after)


def _limb_move(limb: LimbPlaces, side: str, before: set[str], after: set[str]) -> LimbMove:
    reached = [_reach(limb, side, touched) for touched in (before, after)]
    roots = [any(_key(part, side) in touched for part in limb.root) for touched in (before, after)]
    named = [limb.places[place][1] if place >= 0 else "" for place in reached]
    way = "same" if reached[0] == reached[1] else "towards" if reached[1] < reached[0] else "away"
    said = _limb_words(limb, side, way, named[0], named[1], roots[0], roots[1])
    return LimbMove(limb.id, side, named[0], named[1], roots[0], roots[1], way, said)


def _reach(limb: LimbPlaces, side: str, touched: set[str]) -> int:
    """The number of the farthest place that is touched, -1 for none."""
    held = [number for number, (names, _) in enumerate(limb.places) if _any(names, side, touched)]
    return max(held, default=-1)


def _any(names: Sequence[str], side: str, touched: set[str]) -> bool:
    return any(_key(name, side) in touched for name in names)


def _key(part: str, side: str) -> str:
    return part if part in parts.KEYS else f"{part} {side}"


def _limb_words(
    limb: LimbPlaces, side: str, way: str, before: str, after: str, root_before: bool, root_after: bool
) -> str:
    name = f"{side.capitalize()} {limb.id}"
    if way == "same":
        return f"{name}: drawn as far as the {after} both times."
    if not before:
        return f"{name}: drawn as far as the {after} now, and not at all before."
    ends = f"now as far as the {after}" if after else "now not at all"
    said = f"{name}: drawn as far as the {before} before, {ends}."
    if way == "towards" and root_before and root_after:
        return f"{said} Pain in the {limb.root_words} is still drawn. {CENTRAL}"
    return said
