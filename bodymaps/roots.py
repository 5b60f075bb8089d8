"""Hold the burning, shooting, tingling and numb parts of a drawing against the skin of the nerve roots.

A reminder to examine, never more: most proven root pain does not follow its dermatome (see
data/ranking.toml).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from bodymaps import geometry, kinds, words
from bodymaps.atlas import SIDES, Atlas
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.skin import MIDLINE_X, Skin


@dataclass(frozen=True)
class RootMatch:
    """A root to consider: `share` (0..1) of the nerve-like part of the drawing lies in its skin."""

    root: str
    side: str
    share: float
    words: str


def consider(
    marks: Sequence[Mark], atlas: Atlas, skin: Skin, from_share: float
) -> tuple[tuple[RootMatch, ...], tuple[str, ...]]:
    """The roots that hold at least `from_share` of the nerve-like drawing, largest first; and notices."""
    nerve = [mark for mark in marks if kinds.kind(mark.kind).nerve]
    if not nerve:
        return (), ()
    drawn = skin.cut(
        {v: geometry.unite(m.area for m in nerve if m.view == v) for v in {m.view for m in nerve}}
    )
    total = sum(float(area.area) for area in drawn.values())
    if not total:
        return (), ()
    labels = words.listed(
        [kind.label.lower() for kind in kinds.load() if any(m.kind == kind.id for m in nerve)]
    )
    found, anywhere = [], 0.0
    for (root, side), patches in _cut_roots(atlas, skin).items():
        inside = sum(geometry.overlap(area, patches[p]).area for p, area in drawn.items() if p in patches)
        anywhere += float(inside)
        share = min(1.0, float(inside) / total)
        if share >= from_share:
            found.append(RootMatch(root, side, share, _words(root, side, share, labels)))
    found.sort(key=lambda one: -round(one.share, 9))
    return tuple(found), _silence(anywhere / total, atlas, labels)


@lru_cache(maxsize=4)
def _cut_roots(atlas: Atlas, skin: Skin) -> dict[tuple[str, str], dict[int, Area]]:
    """Each dermatome by patch, from the first root down, right before left."""
    opposite = skin.opposite()
    cut: dict[tuple[str, str], dict[int, Area]] = {}
    for root, dermatome in atlas.dermatomes.items():
        right = skin.cut(dermatome.areas)
        cut[root, SIDES[0]] = right
        cut[root, SIDES[1]] = {opposite[p]: geometry.mirrored(area, MIDLINE_X) for p, area in right.items()}
    return cut


def _words(root: str, side: str, share: float, labels: str) -> str:
    return (
        f"Consider a nerve root ({side} {root}): examine before needling. "
        f"{words.percent(share)} of the {labels} lies in its skin area."
    )


def _silence(inside: float, atlas: Atlas, labels: str) -> tuple[str, ...]:
    if inside >= 0.5 or not atlas.dermatomes:
        return ()
    first, last = list(atlas.dermatomes)[0], list(atlas.dermatomes)[-1]
    return (
        f"Most of the {labels} lies outside the skin areas of {first} to {last}, "
        "the only roots this atlas holds. Other roots and single nerves are not considered here: examine.",
    )
