"""A muscle held against several areas at once: what it explains, and which of its points is shown. And the
ranking as the page lists it, which is what evidence is added to.
"""

from collections.abc import Sequence
from dataclasses import replace

from bodymaps import words
from bodymaps.atlas import ALL_SITES
from bodymaps.explain import Explanation, Line, Share
from bodymaps.matching import Ranking
from charting.candidates import others
from charting.candidates.picks import Pick


def as_listed(whole: Ranking, explained: Explanation | None) -> Ranking:
    """The ranking with the orders and agreements the page lists: with several areas every area counts the
    same for muscles, and what is named for one area alone stands among the rest.
    """
    if explained is None:
        return whole
    areas = explained.rankings
    matches = {(one.muscle, one.side): one for ranking in (*areas, whole) for one in ranking.muscles}
    muscles = (replace(matches[line.muscle, line.side], score=line.score) for line in explained.whole)
    layers = dict.fromkeys(layer for ranking in (whole, *areas) for layer in ranking.beside)
    beside = {layer: tuple(one for one, _ in others.every(layer, whole, areas)) for layer in layers}
    return replace(whole, muscles=tuple(muscles), beside=beside)


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
