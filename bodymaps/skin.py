"""The skin of the body as patches, each counted once: the regions, with those seen in both views folded
into one.

The two views are drawn from the same pose, so their edges are mirror images of each other, and a strip
along the edge is the same skin in both. Such a pair (regions.TWINS) becomes one patch: the back view's part
is mirrored (x -> 1000 - x) onto the front view's, and what is drawn or referred in either view, or in both,
covers the patch once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import median
from typing import Protocol

from bodymaps import geometry, regions
from bodymaps.geometry import Area

MIDLINE_X = 500.0
# mm² below which a part of a patch is rounding, not drawing.
NOTHING_MM2 = 0.01


class RegionLike(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def view(self) -> str: ...
    @property
    def side(self) -> str: ...
    @property
    def area(self) -> Area: ...


@dataclass(frozen=True)
class Patch:
    """One patch of skin. `ids` are its regions (two when folded); `area` lies in the frame of the first
    one's view.
    """

    ids: tuple[str, ...]
    side: str
    area: Area

    @property
    def size(self) -> float:
        """mm²"""
        return float(self.area.area)


@dataclass(frozen=True, eq=False)
class Skin:
    """All patches, and for each view which region belongs to which patch."""

    patches: tuple[Patch, ...]
    views: Mapping[str, tuple[tuple[int, bool, Area], ...]]

    def cut(self, areas: Mapping[str, Area]) -> dict[int, Area]:
        """Areas by view, as one area for each patch they touch (folded parts united, in its frame)."""
        parts: dict[int, list[Area]] = {}
        for view, area in areas.items():
            here = self.views[view]
            for place, part in geometry.cut_by(area, [region for _, _, region in here]):
                patch, folded, _ = here[place]
                parts.setdefault(patch, []).append(geometry.mirrored(part, MIDLINE_X) if folded else part)
        united = {
            patch: found[0] if len(found) == 1 else geometry.unite(found) for patch, found in parts.items()
        }
        return {patch: area for patch, area in sorted(united.items()) if area.area > NOTHING_MM2}

    def opposite(self) -> list[int]:
        """For each patch the patch of the other side; midline patches are their own."""
        places = {(patch.ids, patch.side): index for index, patch in enumerate(self.patches)}
        swap = {"right": "left", "left": "right", "midline": "midline"}
        return [places[patch.ids, swap[patch.side]] for patch in self.patches]

    def densities(self, power: float) -> list[float]:
        """Weight of one mm² in each patch, so that a whole patch weighs (its area)^power; the median patch
        weighs 1.
        """
        usual = median(patch.size for patch in self.patches)
        return [(patch.size / usual) ** (power - 1) for patch in self.patches]


@cache
def load() -> Skin:
    """The skin of the committed figure."""
    return folded(regions.load(), regions.TWINS)


def folded(all_regions: Iterable[RegionLike], twins: Sequence[tuple[str, str]]) -> Skin:
    """The regions as patches; `twins` are pairs of region ids (front, back) that are the same skin."""
    found = sorted(all_regions, key=lambda one: (one.view != "front", one.id, one.side))
    first_of = {back: front for front, back in twins}
    groups: dict[tuple[str, str], list[RegionLike]] = {}
    for one in found:
        groups.setdefault((first_of.get(one.id, one.id), one.side), []).append(one)
    patches, views = [], {"front": [], "back": []}  # type: ignore[var-annotated]
    for number, ((_, side), group) in enumerate(groups.items()):
        for one in group:
            views[one.view].append((number, one.view != group[0].view, geometry.as_area(one.area)))
        patches.append(Patch(tuple(one.id for one in group), side, _united(group)))
    return Skin(tuple(patches), {view: tuple(entries) for view, entries in views.items()})


def _united(group: Sequence[RegionLike]) -> Area:
    first = group[0]
    return geometry.unite(
        geometry.as_area(one.area)
        if one.view == first.view
        else geometry.mirrored(geometry.as_area(one.area), MIDLINE_X)
        for one in group
    )
