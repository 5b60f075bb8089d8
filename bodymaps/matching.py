"""Rank the muscles whose referral patterns are most like a drawing, and say why in plain words.

It suggests what to examine. It never diagnoses. All numbers stand, with their reasons, in
data/ranking.toml; kinds enter with the weights of data/kinds.toml, and an area drawn with several kinds
counts once, with the highest of them. Findings on examination are never ranked.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import candidates, geometry, kinds, notices, roots, words
from bodymaps import marks as painted
from bodymaps import skin as skin_patches
from bodymaps.atlas import ALL_SITES, SIDES, Atlas
from bodymaps.candidates import Candidate, Index
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.overlap import Costs, Tally
from bodymaps.roots import RootMatch
from bodymaps.skin import NOTHING_MM2, Skin

FILE = Path(__file__).parent / "data" / "ranking.toml"

# Decimals of the printed scores and shares. A score that would be printed as nothing is nothing.
DIGITS = 4
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
    silent_share: float
    root_share: float
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


@dataclass(frozen=True)
class Ranking:
    """Muscles best first; nerve roots to consider; notices in plain words. With a notice that stands alone
    the rest is empty: nothing was drawn, a lone tap, off the body, everything covered.
    """

    muscles: tuple[Match, ...]
    roots: tuple[RootMatch, ...]
    notices: tuple[str, ...]

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
                {"id": one.root, "side": one.side, "share": round(one.share, DIGITS), "words": one.words}
                for one in self.roots
            ],
            "notices": list(self.notices),
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
    body = skin or skin_patches.load()
    pain = painted.symptoms(marks)
    if marks and not pain:
        return Ranking((), (), (notices.FINDINGS_ONLY,))
    drawing = Drawing.of(pain, body)
    alone = notices.instead_of_ranking(pain, something_drawn, bool(drawing.plain), body, parameters())
    if alone:
        return Ranking((), (), (alone,))
    matches = _best_lines(drawing, candidates.index(atlas, body, parameters().near_mm), atlas)
    found, silent = roots.consider(pain, atlas, body, parameters().root_share)
    later = notices.silent_regions(drawing.plain, body, parameters().silent_share)
    return Ranking(matches, found, (*later, *silent))


def warm_up(atlas: Atlas) -> None:
    """Cut the atlas up by patches of skin (0.3 s, kept for the process), so that no `rank` waits for it."""
    candidates.index(atlas, skin_patches.load(), parameters().near_mm)


@dataclass(frozen=True)
class Drawing:
    """A drawing cut up by patches: layers of falling weight that do not overlap, and plain mm² by patch."""

    layers: Mapping[int, tuple[tuple[float, Area], ...]]
    plain: Mapping[int, float]
    densities: Sequence[float]
    skin: Skin

    @staticmethod
    def of(marks: Sequence[Mark], skin: Skin) -> Drawing:
        layers: dict[int, list[tuple[float, Area]]] = {}
        for weight, areas in _by_weight(marks):
            for patch, area in skin.cut(areas).items():
                fresh = area
                for _, above in layers.get(patch, []):
                    fresh = geometry.take_away(fresh, above)
                if fresh.area > NOTHING_MM2:
                    layers.setdefault(patch, []).append((weight, fresh))
        plain = {patch: sum(float(area.area) for _, area in found) for patch, found in layers.items()}
        return Drawing(
            {patch: tuple(found) for patch, found in layers.items()},
            plain,
            skin.densities(parameters().region_power),
            skin,
        )

    @property
    def size(self) -> float:
        """mm², each patch of skin once."""
        return sum(self.plain.values())

    @property
    def weighted(self) -> float:
        return sum(
            self.densities[patch] * weight * float(area.area)
            for patch, found in self.layers.items()
            for weight, area in found
        )


def _by_weight(marks: Iterable[Mark]) -> list[tuple[float, dict[str, Area]]]:
    """The kinds of one weight united by view, heaviest first."""
    groups: dict[float, dict[str, list[Area]]] = {}
    for mark in marks:
        groups.setdefault(kinds.kind(mark.kind).weight, {}).setdefault(mark.view, []).append(mark.area)
    return [
        (weight, {view: geometry.unite(areas) for view, areas in views.items()})
        for weight, views in sorted(groups.items(), reverse=True)
    ]


# What one candidate shares with the drawing: mm² by zone and patch, plain and weighted by kind.
Hits = dict[tuple[str, int], tuple[float, float]]


def _hits(drawing: Drawing, index: Index) -> dict[int, Hits]:
    found: dict[int, Hits] = {}
    for patch, layers in drawing.layers.items():
        pieces = index.pieces.get(patch, ())
        shapes = [piece.area for piece in pieces]
        for weight, area in layers:
            for piece, size in zip(pieces, geometry.overlap_sizes(area, shapes), strict=True):
                for candidate, zone in piece.owners if size > NOTHING_MM2 else ():
                    hits = found.setdefault(candidate, {})
                    plain, weighted = hits.get((zone, patch), (0.0, 0.0))
                    hits[zone, patch] = (plain + size, weighted + weight * size)
    return found


def _best_lines(drawing: Drawing, index: Index, atlas: Atlas) -> tuple[Match, ...]:
    """One line per muscle and side, the best of its sites and their union; fixed order of ties."""
    best: dict[tuple[str, str], tuple[tuple[float, ...], Candidate, Hits]] = {}
    order = {muscle: place for place, muscle in enumerate(atlas.muscles)}
    total = drawing.weighted
    for number, hits in sorted(_hits(drawing, index).items()):
        one = index.candidates[number]
        score = _score(one, hits, drawing, total)
        if round(score, DIGITS) <= 0:
            continue
        key = _sort_key(one, hits, score, drawing, order)
        if (one.muscle, one.side) not in best or key < best[one.muscle, one.side][0]:
            best[one.muscle, one.side] = (key, one, hits)
    return tuple(
        _match(-key[0], one, hits, drawing, atlas)
        for key, one, hits in sorted(best.values(), key=lambda entry: entry[0])
    )


def _sort_key(
    one: Candidate, hits: Hits, score: float, drawing: Drawing, order: Mapping[str, int]
) -> tuple[float, ...]:
    """Score, then core covered, then drawing explained, then the order of the atlas, right before left."""
    return (
        -round(score, 9),
        -round(_core_coverage(one, hits), 9),
        -round(_explained(hits) / drawing.size, 9),
        order[one.muscle],
        SIDES.index(one.side),
    )


def _score(one: Candidate, hits: Hits, drawing: Drawing, total: float) -> float:
    tally = Tally(drawn=total)
    for (zone, patch), (plain, weighted) in hits.items():
        density = drawing.densities[patch]
        if zone == "core":
            tally.core_drawn += density * weighted
            tally.core_missing -= density * plain
        elif zone == "spillover":
            tally.spillover_drawn += density * weighted
            tally.spillover_missing -= density * plain
        else:
            tally.near_drawn += density * weighted  # with the pattern itself, taken off below
    tally.near_drawn = max(0.0, tally.near_drawn - tally.core_drawn - tally.spillover_drawn)
    tally.core_missing += sum(drawing.densities[patch] * size for patch, size in one.core.items())
    tally.spillover_missing += sum(drawing.densities[patch] * size for patch, size in one.spillover.items())
    return tally.score(parameters().costs)


def _core_coverage(one: Candidate, hits: Hits) -> float:
    core = sum(one.core.values())
    return min(1.0, sum(plain for (zone, _), (plain, _) in hits.items() if zone == "core") / core)


def _explained(hits: Hits) -> float:
    """mm² of the drawing inside core or spillover."""
    return sum(plain for (zone, _), (plain, _) in hits.items() if zone != "near")


def _match(score: float, one: Candidate, hits: Hits, drawing: Drawing, atlas: Atlas) -> Match:
    coverage, explained = _core_coverage(one, hits), min(1.0, _explained(hits) / drawing.size)
    unexplained = _unexplained(hits, drawing)
    covers = (
        f"covers {words.percent(coverage)} of the core zone"
        if coverage > 0
        else "reaches the spillover zone only"
    )
    reasons = [covers, f"explains {words.percent(explained)} of the drawing"]
    if one.site == ALL_SITES:
        reasons.append("all sites of the muscle taken together")
    if unexplained:
        more = len(unexplained) - MOST_PLACES
        shown = [*unexplained[:MOST_PLACES], *([f"{more} more"] if more > 0 else [])]
        reasons.append(f"unexplained: {', '.join(shown)}")
    muscle = atlas.muscles[one.muscle]
    return Match(
        muscle.id, muscle.name, one.side, one.site, score, explained, coverage, tuple(reasons), unexplained
    )


def _unexplained(hits: Hits, drawing: Drawing) -> tuple[str, ...]:
    """The regions where the pattern leaves a notable part of the drawing unexplained, largest first."""
    left = {}
    for patch, size in drawing.plain.items():
        inside = sum(hits[zone, patch][0] for zone in ("core", "spillover") if (zone, patch) in hits)
        if size - inside >= parameters().unexplained_share * drawing.size:
            left[patch] = size - inside
    ordered = sorted(left, key=lambda patch: (-round(left[patch], 3), patch))
    return tuple(words.patch(drawing.skin.patches[patch]) for patch in ordered)
