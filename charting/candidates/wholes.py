"""A muscle held against several areas at once: what it explains, and which of its points is shown. And the
ranking as the page lists it, which is what evidence is added to.
"""

from collections.abc import Sequence
from dataclasses import replace

from bodymaps import words
from bodymaps.atlas import ALL_SITES
from bodymaps.beside import Beside
from bodymaps.explain import Explanation, Line, Share
from bodymaps.matching import Ranking
from charting.candidates import others
from charting.candidates.picks import Pick


def as_listed(whole: Ranking, explained: Explanation | None) -> Ranking:
    """The ranking as the page lists it, each with what it agrees with the whole. With several areas every
    area counts the same for muscles; what is named for single areas only, and listed with its own agreement
    there, counts for the whole as those areas do.
    """
    if explained is None:
        return whole
    areas = explained.rankings
    matches = {(one.muscle, one.side): one for ranking in (*areas, whole) for one in ranking.muscles}
    muscles = (replace(matches[line.muscle, line.side], score=line.score) for line in explained.whole)
    layers = dict.fromkeys(layer for ranking in (whole, *areas) for layer in ranking.beside)
    beside = {layer: _beside(layer, whole, areas) for layer in layers}
    return replace(whole, muscles=tuple(muscles), beside=beside)


def _beside(layer: str, whole: Ranking, areas: Sequence[Ranking]) -> tuple[Beside, ...]:
    named = others.every(layer, whole, areas)
    of_the_whole = (_of_the_whole(one, areas) if area else one for one, area in named)
    return tuple(sorted(of_the_whole, key=lambda one: -one.score))


def _of_the_whole(one: Beside, areas: Sequence[Ranking]) -> Beside:
    """Its mean agreement with the areas, nothing where it is not named."""
    key = (one.id, one.side)
    scores = (
        each.score for area in areas for each in area.beside.get(one.layer, ()) if (each.id, each.side) == key
    )
    return replace(one, score=sum(scores) / len(areas))


def words_of(line: Line) -> str:
    """ "explains area 1 (62 %) and area 3 (48 %); reaches area 2 (12 %)", each with its share of the area."""
    explained = [share for share in line.shares if share.explains]
    reached = [share for share in line.shares if not share.explains]
    said = ("explains", explained), ("reaches", reached)
    return "; ".join(f"{verb} {_areas(shares)}" for verb, shares in said if shares)


def pick_of(line: Line) -> Pick:
    """The one point that fits every area it explains best, or all of its points where they differ."""
    telling = [share for share in line.shares if share.explains] or line.shares
    sites = {share.site for share in telling}
    return Pick(line.muscle, line.side, sites.pop() if len(sites) == 1 else ALL_SITES)


def _areas(shares: Sequence[Share]) -> str:
    return words.listed([f"area {share.area} ({words.percent(share.explained)})" for share in shares])
