"""Say in plain sentences what a drawing shows: kinds, regions, sides, sizes. For the note and for screen
readers.
"""

from __future__ import annotations

from collections.abc import Sequence

from bodymaps import geometry, kinds, words
from bodymaps import marks as painted
from bodymaps import skin as skin_patches
from bodymaps.marks import Mark
from bodymaps.skin import Skin

# A region is named when it holds at least this share of a kind's area, or when at least this share of it is
# drawn.
NAMED_SHARE, NAMED_COVER = 0.05, 0.25


def drawing(marks: Sequence[Mark], skin: Skin | None = None) -> tuple[str, ...]:
    """One sentence for each kind, in the order of the kinds; largest region first, areas on the figure in
    cm².

    "Ache: front of right shoulder (62 cm²) and right outer upper arm (31 cm²); 93 cm² in all."
    """
    body = skin or skin_patches.load()
    return tuple(
        sentence
        for kind in kinds.load()
        if (sentence := _sentence(kind.label, [mark for mark in marks if mark.kind == kind.id], body))
    )


def _sentence(label: str, marks: Sequence[Mark], skin: Skin) -> str:
    views = {mark.view for mark in marks}
    drawn = {view: geometry.unite(mark.area for mark in marks if mark.view == view) for view in views}
    sizes = {patch: float(area.area) for patch, area in skin.cut(drawn).items()}
    total = sum(sizes.values())
    named = [
        p for p in sizes if sizes[p] >= NAMED_SHARE * total or sizes[p] >= NAMED_COVER * skin.patches[p].size
    ]
    if not named:
        return ""
    named.sort(key=lambda p: (-round(sizes[p], 3), p))
    places = [f"{words.patch(skin.patches[p])} ({cm2(sizes[p])})" for p in named]
    in_all = f"; {cm2(total)} in all" if len(places) > 1 or len(sizes) > len(places) else ""
    return f"{label}: {words.listed(places)}{in_all}."


def cm2(size_mm2: float) -> str:
    """Figure mm² as cm² in words; a small spot is never "0 cm²"."""
    size = size_mm2 / 100
    return "under 1 cm²" if size < 1 else f"{size:.0f} cm²"


def total_cm2(marks: Sequence[Mark]) -> float:
    """Area in pain (cm² on the figure), overlapping kinds once in each view; findings count nothing."""
    pain = painted.symptoms(marks)
    views = {mark.view for mark in pain}
    return sum(geometry.area_cm2(geometry.unite(m.area for m in pain if m.view == view)) for view in views)
