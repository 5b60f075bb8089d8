"""Say in plain sentences what a drawing shows: kinds, regions, sides, sizes, symptom areas, the worst spot,
findings, parts free of pain. For the note and for screen readers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bodymaps import geometry, kinds, parts, regions, words
from bodymaps import marks as painted
from bodymaps import skin as skin_patches
from bodymaps.kinds import Kind
from bodymaps.marks import Mark, Spot
from bodymaps.skin import Skin

# A region is named when it holds at least this share of a kind's area, or when at least this share of it is
# drawn.
NAMED_SHARE, NAMED_COVER = 0.05, 0.25
# The sentence of an area names at most this many regions, the largest.
MOST_PLACES = 4


def drawing(
    marks: Sequence[Mark], skin: Skin | None = None, shown: Sequence[Kind] | None = None
) -> tuple[str, ...]:
    """One sentence for each kind (of those `shown`), in the order of the kinds; largest region first, areas
    on the figure in cm². Findings come last.

    "Ache: front of right shoulder (62 cm²) and right outer upper arm (31 cm²); 93 cm² in all."
    """
    body = skin or skin_patches.load()
    return tuple(
        sentence
        for kind in (kinds.load() if shown is None else shown)
        if (sentence := _sentence(_label(kind), [mark for mark in marks if mark.kind == kind.id], body))
    )


def findings(marks: Sequence[Mark], skin: Skin | None = None) -> tuple[str, ...]:
    """What was found on examination: "Less feeling on testing: right outer upper arm (40 cm²)."."""
    return drawing(painted.findings(marks), skin)


def area(number: int, marks: Sequence[Mark], now: Mapping[str, int], skin: Skin | None = None) -> str:
    """A symptom area in a sentence; `now`: how strong each kind is, 0 to 10, where it was said.

    "Area 1, left neck-shoulder angle and back of left neck: ache 6 of 10; 38 cm²."
    """
    body, pain = skin or skin_patches.load(), painted.symptoms(marks)
    sizes, largest = _named(pain, body)
    where = f", {_listed(largest, body)}" if largest else ""
    drawn = [kind for kind in kinds.symptoms() if any(mark.kind == kind.id for mark in pain)]
    said = [f"{kind.label.lower()}{_strength(now.get(kind.id))}" for kind in drawn]
    return f"Area {number}{where}: {words.listed(said)}; {cm2(sum(sizes.values()))}." if said else ""


def where(marks: Sequence[Mark], skin: Skin | None = None) -> str:
    """Where pain is drawn, the largest region first, "" for none: "left neck-shoulder angle and back of left
    neck".
    """
    body = skin or skin_patches.load()
    _, largest = _named(painted.symptoms(marks), body)
    return _listed(largest, body) if largest else ""


def size(marks: Sequence[Mark], skin: Skin | None = None) -> str:
    """How much skin pain is drawn on, "38 cm²"; skin that both views show counts once, as in `area`."""
    sizes, _ = _named(painted.symptoms(marks), skin or skin_patches.load())
    return cm2(sum(sizes.values()))


def spot(one: Spot) -> str:
    """ "Worst spot: front of right shoulder." A spot beside the body is told by the region nearest to it."""
    here = [region for region in regions.load() if region.view == one.view]
    nearest = geometry.nearest([region.area for region in here], one.x, one.y)
    return f"Worst spot: {words.region_on(here[nearest].id, here[nearest].side)}."


def cleared(keys: Iterable[str]) -> str:
    """ "Nothing here: neck, right shoulder." for keys of parts, in the order of the body; "" for none."""
    wanted = set(keys)
    labels = [parts.part(key).label for key in parts.KEYS if key in wanted]
    return f"Nothing here: {', '.join(label[:1].lower() + label[1:] for label in labels)}." if labels else ""


def _label(kind: Kind) -> str:
    return f"{kind.label} {kind.patient_words}" if kind.finding else kind.label


def _strength(value: int | None) -> str:
    return "" if value is None else f" {value} of 10"


def _named(marks: Sequence[Mark], skin: Skin) -> tuple[dict[int, float], list[int]]:
    views = {mark.view for mark in marks}
    drawn = {view: geometry.unite(mark.area for mark in marks if mark.view == view) for view in views}
    sizes = {patch: float(area.area) for patch, area in skin.cut(drawn).items()}
    return sizes, named(sizes, skin)


def named(sizes: Mapping[int, float], skin: Skin) -> list[int]:
    """The patches worth naming of a drawing that covers `sizes` (mm² by patch), the largest first."""
    total = sum(sizes.values())
    worth = [
        p for p in sizes if sizes[p] >= NAMED_SHARE * total or sizes[p] >= NAMED_COVER * skin.patches[p].size
    ]
    return sorted(worth, key=lambda p: (-round(sizes[p], 3), p))


def _listed(named: Sequence[int], skin: Skin) -> str:
    return words.listed(_shortened([words.patch(skin.patches[p]) for p in named]))


def _shortened(named: list[str]) -> list[str]:
    more = len(named) - MOST_PLACES
    return named if more <= 0 else [*named[:MOST_PLACES], f"{more} more"]


def _sentence(label: str, marks: Sequence[Mark], skin: Skin) -> str:
    sizes, largest = _named(marks, skin)
    if not largest:
        return ""
    places = [f"{words.patch(skin.patches[p])} ({cm2(sizes[p])})" for p in largest]
    in_all = f"; {cm2(sum(sizes.values()))} in all" if len(places) > 1 or len(sizes) > len(places) else ""
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
