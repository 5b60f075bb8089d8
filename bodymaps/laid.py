"""One drawing laid over another, view by view: what only the first covers, only the second, and both.

What lies on skin that both views show was drawn on either of them: on the other view too it is not gone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from bodymaps import figure, geometry, surface
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.skin import MIDLINE_X, NOTHING_MM2, Skin

Areas = Mapping[str, Area]
Sizes = Mapping[int, float]
OTHER = {"front": "back", "back": "front"}


@dataclass(frozen=True)
class Laid:
    """Areas by view as they were drawn (mm). By the name of each, `sizes`: mm² by patch of skin, where skin
    that both views show counts once; `percent`: of the body surface, where each view counts as in `extent`.
    """

    before: Areas
    after: Areas
    gone: Areas
    new: Areas
    unchanged: Areas
    sizes: Mapping[str, Sizes]
    percent: Mapping[str, float]


def lay(before: Sequence[Mark], after: Sequence[Mark], skin: Skin) -> Laid:
    """`after` over `before`, whatever their kinds: give it pain only."""
    first, second = _by_view(before), _by_view(after)
    parts = _parted(first, second, skin)
    sizes, percent = {}, {}
    for name, areas in parts.items():
        sizes[name], percent[name] = _measured(areas, skin)
    for name, part in (("before", "gone"), ("after", "new")):
        sizes[name] = _added(sizes[part], sizes["unchanged"])
        percent[name] = percent[part] + percent["unchanged"]
    return Laid(first, second, **parts, sizes=sizes, percent=percent)


def amounts(before: Sequence[Mark], after: Sequence[Mark], skin: Skin) -> dict[str, float]:
    """mm² of "gone", "new" and "unchanged" alone: no cut along the regions, which takes most of the time."""
    parts = _parted(_by_view(before), _by_view(after), skin)
    return {name: _folded(areas, skin) for name, areas in parts.items()}


def _parted(first: Areas, second: Areas, skin: Skin) -> dict[str, Areas]:
    seen_first, seen_second = _seen(first, skin), _seen(second, skin)
    return {
        "gone": {view: geometry.take_away(first[view], seen_second[view]) for view in first},
        "new": {view: geometry.take_away(second[view], seen_first[view]) for view in second},
        "unchanged": {view: _shared(view, first, second, seen_first, seen_second) for view in first},
    }


def _folded(areas: Areas, skin: Skin) -> float:
    """mm² in both views, less what lies on the same skin in both."""
    twice = geometry.overlap(
        geometry.overlap(areas["front"], _shown_twice(skin)["front"]), _across(areas, "back", skin)
    )
    return float(sum(area.area for area in areas.values()) - twice.area)


def _by_view(marks: Sequence[Mark]) -> Areas:
    return {
        view: geometry.together(mark.area for mark in marks if mark.view == view) for view in figure.VIEWS
    }


def _shared(view: str, first: Areas, second: Areas, seen_first: Areas, seen_second: Areas) -> Area:
    """What was drawn on a view and seen in the other drawing, from either side."""
    shared = geometry.overlap(first[view], seen_second[view])
    if seen_first[view] is first[view] and seen_second[view] is second[view]:
        return shared
    return geometry.unite([shared, geometry.overlap(second[view], seen_first[view])])


def _seen(drawn: Areas, skin: Skin) -> Areas:
    """What is drawn on each view, with what was drawn on the other on the same skin."""
    found = {}
    for view, area in drawn.items():
        more = _across(drawn, OTHER[view], skin)
        found[view] = area if more.is_empty else geometry.unite([area, more])
    return found


def _across(drawn: Areas, other: str, skin: Skin) -> Area:
    return geometry.mirrored(geometry.overlap(drawn[other], _shown_twice(skin)[other]), MIDLINE_X)


@lru_cache(maxsize=4)
def _shown_twice(skin: Skin) -> Areas:
    """On each view the skin that the other view shows too."""
    return {
        view: geometry.unite(area for patch, _, area in here if len(skin.patches[patch].ids) > 1)
        for view, here in skin.views.items()
    }


def _measured(areas: Areas, skin: Skin) -> tuple[Sizes, float]:
    """mm² by patch and percent of the body surface, from one cut along the regions."""
    parts: dict[int, list[Area]] = {}
    units = 0.0
    for view, area in areas.items():
        here = [] if area.is_empty else skin.views[view]
        for place, part in geometry.cut_by(area, [region for _, _, region in here]):
            number, folded, region = here[place]
            patch = skin.patches[number]
            share = surface.shares()[patch.ids[-1 if folded else 0], patch.side]
            units += part.area / region.area * share.units
            parts.setdefault(number, []).append(geometry.mirrored(part, MIDLINE_X) if folded else part)
    sizes = {number: float(geometry.together(found).area) for number, found in sorted(parts.items())}
    return {number: size for number, size in sizes.items() if size > NOTHING_MM2}, units / surface.PERCENT


def _added(one: Sizes, other: Sizes) -> Sizes:
    return {patch: one.get(patch, 0.0) + other.get(patch, 0.0) for patch in sorted({*one, *other})}
