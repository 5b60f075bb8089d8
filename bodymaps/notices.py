"""What to say beside a ranking, or instead of one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from bodymaps import geometry, words
from bodymaps.marks import Mark
from bodymaps.skin import Skin

EMPTY = "Nothing is drawn, so there is nothing to rank."
OFF_BODY = "Nothing of what was drawn lies on the body, so there is nothing to rank."
FINDINGS_ONLY = "Only findings of the examination lie on the body and no pain, so there is nothing to rank."
LONE_TAP = "Only a single tap is drawn. Shade or encircle the painful area to get a ranking."
EVERYTHING = (
    "The drawing covers almost everything, so it cannot point to single muscles. Ask where it hurts most."
)
# Those that stand alone, instead of a ranking.
ALONE = (EMPTY, OFF_BODY, FINDINGS_ONLY, LONE_TAP, EVERYTHING)


class Thresholds(Protocol):
    @property
    def everything_share(self) -> float: ...
    @property
    def dot_mm2(self) -> float: ...


def instead_of_ranking(
    marks: Sequence[Mark], something_drawn: bool, on_body: bool, skin: Skin, limits: Thresholds
) -> str | None:
    """The one notice that stands alone, or None when the drawing can be ranked; `on_body`: some skin is
    covered.
    """
    if all(mark.area.is_empty for mark in marks):
        return OFF_BODY if something_drawn else EMPTY
    drawn = {
        view: geometry.unite(m.area for m in marks if m.view == view) for view in {m.view for m in marks}
    }
    if _is_dot(marks, list(drawn.values()), limits.dot_mm2):
        return LONE_TAP
    if not on_body:
        return OFF_BODY
    if _covers_everything(drawn, skin, limits.everything_share):
        return EVERYTHING
    return None


def _is_dot(marks: Sequence[Mark], drawn: Sequence[geometry.Area], dot_mm2: float) -> bool:
    if sum(area.area for area in drawn) < dot_mm2:
        return True
    pieces = sum(len(area.geoms) for area in drawn)
    return pieces == 1 and all(mark.tap for mark in marks)


def _covers_everything(drawn: Mapping[str, geometry.Area], skin: Skin, share: float) -> bool:
    """True when a view is covered nearly whole, whatever is drawn on the other."""
    return any(
        float(area.area) >= share * sum(float(region.area) for _, _, region in skin.views[view])
        for view, area in drawn.items()
    )


def silent_regions(plain: Mapping[int, float], skin: Skin, from_share: float) -> tuple[str, ...]:
    """A notice when a good part of the drawing lies where this atlas holds no muscles yet."""
    total = sum(plain.values())
    later: dict[str, float] = {}
    for patch, size in plain.items():
        part = words.comes_later(skin.patches[patch].ids[0])
        if part:
            later[part] = later.get(part, 0.0) + size
    share = sum(later.values()) / total
    if share < from_share:
        return ()
    parts = words.listed(sorted(later, key=lambda part: (-later[part], part)))
    return (
        f"{words.percent(share)} of the drawing lies on the {parts}, where this atlas does not hold the "
        "local muscles yet. That none is named there does not mean that none is worth examining.",
    )
