"""Muscles in the order of the geometry, each with its reasons in words."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from bodymaps import alike, explain, own
from bodymaps.atlas import Atlas
from bodymaps.matching import Match, Ranking
from charting.candidates import wholes
from charting.candidates.over import in_words
from charting.candidates.picks import Pick
from charting.candidates.queries import Ranked
from charting.candidates.weighing import By, counts_in

# How many unexplained regions a line names before it counts the rest.
MOST_UNEXPLAINED = 3


@dataclass(frozen=True)
class Line:
    """One muscle on one side, in words. `percent` is the agreement of the whole, 0-100; `own` says that its
    pattern is the practice's own, and which version; `same_area` names the muscles it cannot be told apart
    from. `counts`: what speaks for and against it; the line by place is the same without.
    """

    pick: str
    place: int
    name: str
    side: str
    words: str
    percent: int
    is_picked: bool
    own: str
    same_area: str
    counts: str = field(default="", compare=False)


def words_of(match: Match, what: str = "the drawing") -> str:
    """'covers 80 % of the core zone, explains 65 % of the drawing; unexplained: lateral elbow'

    Of many unexplained regions the largest few are named and the rest counted; a region of the muscle's
    own side is named without it. `what` was ranked.
    """
    said = ", ".join(reason for reason in match.reasons if not reason.startswith("unexplained"))
    said = said.replace("the drawing", what)
    if not match.unexplained:
        return said
    named = [region.replace(f"{match.side} ", "") for region in match.unexplained[:MOST_UNEXPLAINED]]
    more = len(match.unexplained) - MOST_UNEXPLAINED
    rest = f" and {more} more" if more > 0 else ""
    return f"{said}; unexplained: {', '.join(named)}{rest}"


def lines_of(found: Ranked, area: int, ranking: Ranking, shown: str) -> tuple[Line, ...]:
    """Every muscle of the whole (area 0) or of one area; none while muscles are held back. `shown` is the key
    of the pick.
    """
    if found.flags.holds_back:
        return ()
    said = counts_in(found, area)
    if found.explanation and not area:
        lines = found.explanation.whole
        return tuple(_whole_line(place, line, shown, found, said) for place, line in enumerate(lines, 1))
    matches = enumerate(ranking.muscles, 1)
    return tuple(_line(place, match, shown, area, found, said) for place, match in matches)


def _whole_line(place: int, line: explain.Line, shown: str, found: Ranked, said: Mapping[By, str]) -> Line:
    return Line(
        pick=wholes.pick_of(line).key,
        place=place,
        name=in_words(line.name),
        side=line.side,
        words=wholes.words_of(line),
        percent=max(1, round(100 * line.score)),
        is_picked=shown.split(".")[:2] == [line.muscle, line.side],
        own=own.words_of(found.atlas, line.muscle),
        same_area=_same_area(line.muscle, found.atlas),
        counts=said.get(("muscle", line.muscle, line.side), ""),
    )


def _line(place: int, match: Match, shown: str, area: int, found: Ranked, said: Mapping[By, str]) -> Line:
    pick = Pick(match.muscle, match.side, match.site)
    return Line(
        pick=pick.key,
        place=place,
        name=in_words(match.name),
        side=match.side,
        words=words_of(match, f"area {area}" if area else "the drawing"),
        percent=max(1, round(100 * match.score)),
        # Another site of the same muscle keeps its line picked.
        is_picked=shown.split(".")[:2] == [match.muscle, match.side],
        own=own.words_of(found.atlas, match.muscle),
        same_area=_same_area(match.muscle, found.atlas),
        counts=said.get(("muscle", match.muscle, match.side), ""),
    )


def _same_area(muscle: str, known: Atlas) -> str:
    """ "deltoid, acromial part": the muscles that its pattern cannot be told apart from."""
    return "; ".join(known.muscles[other].name for other in alike.same_area(known)[muscle])
