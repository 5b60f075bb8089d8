"""How much of what a muscle is known to refer is drawn in a visit."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from bodymaps import marks, matching, skin
from bodymaps.atlas import ALL_SITES, Atlas
from bodymaps.candidates import PATTERN
from bodymaps.marks import Mark
from charting.drawing.among import Painted
from charting.visits.models import Visit

# As many signed drawings as are kept counted, the oldest forgotten first.
MOST_KEPT = 2000
# By muscle and side: the share of the core of the whole pattern that is drawn, 0 to 1.
Shares = Mapping[tuple[str, str], float]
_kept: dict[tuple[UUID, Atlas], Shares] = {}


def shares_among(
    visits: Iterable[Visit], painted: Mapping[UUID, Painted], known: Atlas
) -> Mapping[UUID, Shares]:
    """By visit; those that say nothing of where it hurts are left out. A signed visit is counted once."""
    return {
        visit.pk: _shares(visit, painted[visit.pk], known) for visit in visits if painted[visit.pk].is_told
    }


def _shares(visit: Visit, painted: Painted, known: Atlas) -> Shares:
    key = (visit.pk, known)
    if key in _kept:
        return _kept[key]
    found = drawn_of(painted.marks, known)
    if visit.is_signed:
        _kept[key] = found
        for old in list(_kept)[: max(0, len(_kept) - MOST_KEPT)]:
            _kept.pop(old, None)
    return found


def drawn_of(drawn: Iterable[Mark], known: Atlas) -> Shares:
    """Every muscle and side, those of which nothing is drawn with 0."""
    index = matching.index(known, skin.load())
    whole = matching.counted(marks.symptoms(drawn), index)
    single = {muscle.id: len(muscle.sites) == 1 for muscle in known.muscles.values()}
    return {
        (one.id, one.side): float(whole.coverage[number]) if whole else 0.0
        for number, one in enumerate(index.candidates)
        if one.layer == PATTERN and (one.site == ALL_SITES or single[one.id])
    }
