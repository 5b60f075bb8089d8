"""A muscle held against several areas at once: what it explains, and which of its points is shown."""

from collections.abc import Sequence

from bodymaps import words
from bodymaps.atlas import ALL_SITES
from bodymaps.explain import Line, Share
from charting.candidates.picks import Pick


def words_of(line: Line) -> str:
    """ "explains area 1 (62 %) and area 3 (48 %); reaches area 2 (12 %)", each with its share of the area."""
    explained = [share for share in line.shares if share.explains]
    others = [share for share in line.shares if not share.explains]
    said = ("explains", explained), ("reaches", others)
    return "; ".join(f"{verb} {_areas(shares)}" for verb, shares in said if shares)


def pick_of(line: Line) -> Pick:
    """The one point that fits every area it explains best, or all of its points where they differ."""
    telling = [share for share in line.shares if share.explains] or line.shares
    sites = {share.site for share in telling}
    return Pick(line.muscle, line.side, sites.pop() if len(sites) == 1 else ALL_SITES)


def _areas(shares: Sequence[Share]) -> str:
    return words.listed([f"area {share.area} ({words.percent(share.explained)})" for share in shares])
