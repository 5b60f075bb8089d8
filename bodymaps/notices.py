"""What to say beside a ranking, or instead of one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from bodymaps import geometry, overlap, reach
from bodymaps.geometry import Area
from bodymaps.marks import Mark, symptoms
from bodymaps.skin import MIDLINE_X, Skin

EMPTY = "Nothing is drawn, so there is nothing to rank."
OFF_BODY = "Nothing of what was drawn lies on the body, so there is nothing to rank."
FINDINGS_ONLY = "Only findings of the examination lie on the body and no pain, so there is nothing to rank."
LONE_TAP = "Only a single tap is drawn. Shade or encircle the painful area to get a ranking."
EVERYTHING = (
    "The drawing covers almost everything, so it cannot point to single muscles. Ask where it hurts most."
)
# Those that stand alone, instead of a ranking.
ALONE = (EMPTY, OFF_BODY, FINDINGS_ONLY, LONE_TAP, EVERYTHING)


# Beyond any frame (mm).
FAR = 5000.0


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
        view: geometry.together(m.area for m in marks if m.view == view) for view in {m.view for m in marks}
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


def of_extent(
    marks: Sequence[Mark], skin: Skin, covered: Mapping[int, float] | None = None
) -> tuple[str, ...]:
    """What a drawing's extent means for the examination, to be said before any ranking: widespread pain, and
    pain on both sides, much alike or not. Findings do not count.

    `covered` (plain mm² by patch, of the pain) spares cutting the drawing again. Limits and words:
    data/extent.toml.
    """
    pain, said = symptoms(marks), reach.tables()["notices"]
    found = ["widespread"] if reach.is_widespread(pain, skin, covered) else []
    right, left, alike = _sides(pain, said["central_mm"])
    if right + left > 0 and min(right, left) >= said["each_side_share"] * (right + left):
        found.append("mirrored" if alike >= said["mirrored_jaccard"] else "both_sides")
    return tuple(said[name]["words"].strip() for name in found)


def _sides(pain: Sequence[Mark], central_mm: float) -> tuple[float, float, float]:
    """mm² drawn on the right and on the left off the middle, and the Jaccard index of the left with the right
    mirrored, over both views.
    """
    right = left = shared = 0.0
    for view in sorted({mark.view for mark in pain}):
        area = geometry.together(mark.area for mark in pain if mark.view == view)
        low, high = _off_middle(area, central_mm), _off_middle(geometry.mirrored(area, MIDLINE_X), central_mm)
        # The patient's right has the smaller x in front, the larger behind.
        here, there = (low, high) if view == "front" else (high, low)
        right, left = right + here.area, left + there.area
        shared += geometry.overlap(here, there).area
    return right, left, overlap.tversky(shared, right - shared, left - shared, 1, 1)


def _off_middle(area: Area, central_mm: float) -> Area:
    """The part with the smaller x, without the middle."""
    return geometry.overlap(area, geometry.box(-FAR, -FAR, MIDLINE_X - central_mm, FAR))
