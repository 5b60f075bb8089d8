"""Rank the muscles whose referral patterns are most like a drawing, and say why in plain words.

It suggests what to examine. It never diagnoses. All numbers stand, with their reasons, in
data/ranking.toml; kinds enter with the weights of data/kinds.toml, and an area drawn with several kinds
counts once, with the highest of them. Findings on examination are never ranked.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import numpy as np

from bodymaps import beside, candidates, fewest, kinds, notices, roots, words
from bodymaps import marks as painted
from bodymaps import skin as skin_patches
from bodymaps.atlas import ALL_SITES, Atlas
from bodymaps.beside import Beside
from bodymaps.candidates import Index
from bodymaps.counted import DIGITS, Counted, Drawing, count
from bodymaps.fewest import Fewest
from bodymaps.grid import Weights
from bodymaps.marks import Mark
from bodymaps.overlap import Costs
from bodymaps.roots import RootMatch
from bodymaps.skin import Skin

FILE = Path(__file__).parent / "data" / "ranking.toml"

# Under which name a layer is printed.
PRINTED = {
    "peripheral_nerve": "nerves",
    "plexus": "plexuses",
    "joint_referral": "joints",
    "visceral": "organs",
}
# A reason names at most this many places; the match itself holds them all.
MOST_PLACES = 4


@dataclass(frozen=True)
class Parameters:
    """The numbers of data/ranking.toml; see there for their reasons."""

    version: str
    outside_cost: float
    missing_cost: float
    spillover_drawn: float
    spillover_missing: float
    region_power: float
    near_mm: float
    near_cost: float
    root_share: float
    beside_share: float
    everything_share: float
    dot_mm2: float
    unexplained_share: float

    @property
    def costs(self) -> Costs:
        return Costs(
            outside=self.outside_cost,
            missing=self.missing_cost,
            spillover_drawn=self.spillover_drawn,
            spillover_missing=self.spillover_missing,
            near=self.near_cost,
        )


@cache
def parameters() -> Parameters:
    with FILE.open("rb") as file:
        return Parameters(**tomllib.load(file))


@dataclass(frozen=True)
class Match:
    """One muscle on one side. `site` is a site of the muscle, or "all" when its sites together fit best.

    `explained` is the share of the drawing inside the pattern, `core_coverage` the share of the core that
    is drawn: plain areas, skin seen in both views counted once.
    """

    muscle: str
    name: str
    side: str
    site: str
    score: float
    explained: float
    core_coverage: float
    reasons: tuple[str, ...]
    unexplained: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Held:
    """What was counted for a ranking: all pain, its nerve-like part (None when there is none), the atlas."""

    whole: Counted
    nerve: Counted | None
    atlas: Atlas


@dataclass(frozen=True)
class Ranking:
    """Muscles best first; nerve roots to consider; notices in plain words; `beside`: nerves, plexuses, joints
    and organs by layer. With a notice that stands alone
    the rest is empty: nothing was drawn, a lone tap, off the body, everything covered.
    """

    muscles: tuple[Match, ...]
    roots: tuple[RootMatch, ...]
    notices: tuple[str, ...]
    beside: Mapping[str, tuple[Beside, ...]] = field(default_factory=dict)
    held: Held | None = field(default=None, repr=False, compare=False)

    @cached_property
    def fewest(self) -> Fewest | None:
        """The fewest sources that explain the whole drawing; None when nothing was ranked. 20 ms, once."""
        if self.held is None:
            return None
        return fewest.explain(self.held.whole, self.held.nerve, self.held.atlas)

    @property
    def stands_aside(self) -> bool:
        """True when the drawing could not be held against the patterns: one notice says why."""
        return bool(self.notices) and self.notices[0] in notices.ALONE

    def as_json(self) -> dict[str, Any]:
        """Plain data, with the kinds' weights and the version of the ranking."""
        return {
            "ranking": parameters().version,
            "kind_weights": {kind.id: kind.weight for kind in kinds.symptoms()},
            "muscles": [_match_json(match) for match in self.muscles],
            "roots": [
                {
                    "id": one.root,
                    "side": one.side,
                    "score": round(one.score, DIGITS),
                    "share": round(one.share, DIGITS),
                    "reasons": list(one.reasons),
                    "words": one.words,
                }
                for one in self.roots
            ],
            **{
                name: [_beside_json(one) for one in self.beside.get(layer, ())]
                for layer, name in PRINTED.items()
            },
            "explanation": self.fewest.as_json() if self.fewest else None,
            "notices": list(self.notices),
        }


def _beside_json(one: Beside) -> dict[str, Any]:
    return {
        "id": one.id,
        "name": one.name,
        "side": one.side,
        "score": round(one.score, DIGITS),
        "explained": round(one.explained, DIGITS),
        "core_coverage": round(one.core_coverage, DIGITS),
        "urgent": one.urgent,
        "reasons": list(one.reasons),
    }


def _match_json(match: Match) -> dict[str, Any]:
    return {
        "id": match.muscle,
        "name": match.name,
        "side": match.side,
        "site": match.site,
        "score": round(match.score, DIGITS),
        "explained": round(match.explained, DIGITS),
        "core_coverage": round(match.core_coverage, DIGITS),
        "reasons": list(match.reasons),
        "unexplained": list(match.unexplained),
    }


def rank(
    marks: Sequence[Mark], atlas: Atlas, *, something_drawn: bool = False, skin: Skin | None = None
) -> Ranking:
    """Hold the pain of a drawing against every pattern; findings are left out.

    `something_drawn` tells an empty drawing from one of which nothing lies on the body: pass True when
    strokes exist.
    """
    pain = painted.symptoms(marks)
    if marks and not pain:
        return Ranking((), (), (notices.FINDINGS_ONLY,))
    known = index(atlas, skin or skin_patches.load())
    drawing = Drawing.of(pain, known.grid)
    alone = notices.instead_of_ranking(
        pain, something_drawn, bool(len(drawing.cells)), known.skin, parameters()
    )
    if alone:
        return Ranking((), (), (alone,))
    whole = count(drawing, known, parameters().costs)
    nerve_marks = roots.nerve_like(pain)
    nerve = counted(nerve_marks, known)
    found, silent = roots.consider(nerve_marks, nerve, atlas, parameters().root_share) if nerve else ((), ())
    return Ranking(
        muscles=_matches(whole, atlas),
        roots=found,
        notices=(*notices.of_extent(pain, known.skin, drawing.by_patch), *silent),
        beside=beside.consider(whole, nerve, atlas, parameters().root_share, parameters().beside_share),
        held=Held(whole, nerve, atlas),
    )


def counted(marks: Sequence[Mark], known: Index) -> Counted | None:
    """Marks held against every pattern; None when nothing of them lies on the body."""
    drawing = Drawing.of(marks, known.grid)
    return count(drawing, known, parameters().costs) if len(drawing.cells) else None


def index(atlas: Atlas, skin: Skin) -> Index:
    return candidates.index(atlas, skin, parameters().near_mm, parameters().region_power)


def warm_up(atlas: Atlas) -> None:
    """Turn the atlas into cells (some tenths of a second, kept for the process), so that no `rank` waits."""
    index(atlas, skin_patches.load())


def _matches(whole: Counted, atlas: Atlas) -> tuple[Match, ...]:
    """One line per muscle and side, best first."""
    numbers = whole.best(candidates.PATTERN)
    if not numbers:
        return ()
    left = whole.left_by_patch(numbers)
    places = _places(left, parameters().unexplained_share * whole.drawing.mm2, whole.index.skin)
    return tuple(
        _match(whole, number, tuple(unexplained), atlas)
        for number, unexplained in zip(numbers, places, strict=True)
    )


def _places(left: Weights, notable: float, skin: Skin) -> list[list[str]]:
    """By row of `left` (mm² by patch) the patches where a notable part stays unexplained, largest first."""
    row, patch = np.nonzero(left >= notable)
    order = np.lexsort((patch, -left[row, patch], row))
    names = {one: words.patch(skin.patches[one]) for one in set(patch.tolist())}
    found: list[list[str]] = [[] for _ in left]
    for here, one in zip(row[order].tolist(), patch[order].tolist(), strict=True):
        found[here].append(names[one])
    return found


def _match(whole: Counted, number: int, unexplained: tuple[str, ...], atlas: Atlas) -> Match:
    one, muscle = whole.one(number), atlas.muscles[whole.one(number).id]
    coverage, explained = float(whole.coverage[number]), float(whole.explained[number])
    return Match(
        muscle=muscle.id,
        name=muscle.name,
        side=one.side,
        site=one.site,
        score=float(whole.scores[number]),
        explained=explained,
        core_coverage=coverage,
        reasons=reasons(coverage, explained, one.site == ALL_SITES, unexplained),
        unexplained=unexplained,
    )


def reasons(
    coverage: float, explained: float, all_sites: bool, unexplained: Sequence[str]
) -> tuple[str, ...]:
    """Why a pattern stands where it stands, in plain words."""
    covers = (
        f"covers {words.percent(coverage)} of the core zone"
        if coverage > 0
        else "reaches the spillover zone only"
    )
    said = [covers, f"explains {words.percent(explained)} of the drawing"]
    if all_sites:
        said.append("all sites of the muscle taken together")
    if unexplained:
        more = len(unexplained) - MOST_PLACES
        shown = [*unexplained[:MOST_PLACES], *([f"{more} more"] if more > 0 else [])]
        said.append(f"unexplained: {', '.join(shown)}")
    return tuple(said)
