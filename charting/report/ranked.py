"""What is ranked by place: the first lines as printed, and the whole as it was computed. Plain data."""

from collections.abc import Collection
from typing import Any

from bodymaps import own
from bodymaps.atlas import Atlas
from bodymaps.explain import Line
from bodymaps.matching import Match, Ranking
from charting.candidates import wholes
from charting.candidates.others import exclude_first
from charting.candidates.pages import in_words, root_caution, sentences, words_of
from charting.candidates.queries import Ranked
from charting.report.sources import Sources
from charting.report.weighed import By, weighed, without_brackets

MOST_CANDIDATES = 12
# Of these the note prints why, too.
MOST_WITH_WHY = 3
# Of each area alone, where there are several: the whole is printed before.
MOST_OF_AREA = 5
NOTHING: dict[str, Any] = {
    "is_ranked": False, "is_held": False, "lines": [], "first": [], "others": [], "roots": [], "notices": [],
    "not_shown": 0, "ranking": None, "weighed": None,
}  # fmt: skip


def candidates(found: Ranked, sources: Sources, concluded: Collection[By] = ()) -> dict[str, Any]:
    """The first lines as printed, and the whole ranking as it was computed. `concluded`: as in `weighed`.

    With several areas the lines are those of the whole, by what explains it, and each area follows alone.
    While a sign of danger waits for a decision no muscle stands here, as on the page.
    """
    ranking, explained = found.ranking, found.explanation
    if ranking is None:
        return NOTHING
    each = explained.rankings if explained else ()
    shared = {
        "is_ranked": True,
        "exclude_first": [one.words for one in exclude_first(ranking, each)],
        "roots": [{"root": root.root, "side": root.side, "words": root.words} for root in ranking.roots],
        "root_caution": _root_caution(sources) if ranking.roots else None,
        "notices": list(ranking.notices),
    }
    if found.flags.holds_back:
        return {**NOTHING, **shared, "is_held": True}
    muscles = _muscles(found, ranking)
    return {**shared, "is_held": False, **muscles, "weighed": weighed(found, sources, concluded)}


def _root_caution(sources: Sources) -> dict[str, Any]:
    said = root_caution()
    return {**said, "number": sources.number(said["source"], said["status"])}


def _muscles(found: Ranked, ranking: Ranking) -> dict[str, Any]:
    known, explained = found.atlas, found.explanation
    lines = (
        [_whole_line(line, known) for line in explained.whole] if explained else _match_lines(ranking, known)
    )
    rankings = enumerate(explained.rankings, 1) if explained else ()
    areas = [_ranked_area(number, one, known) for number, one in rankings]
    printed = [*lines[:MOST_CANDIDATES], *(line for area in areas for line in area["lines"])]
    return {
        "lines": lines[:MOST_CANDIDATES],
        "first": lines[:MOST_WITH_WHY],
        "others": lines[MOST_WITH_WHY:MOST_CANDIDATES],
        "not_shown": max(0, len(lines) - MOST_CANDIDATES),
        "ranking": ranking.as_json(),
        "together": sentences(found),
        "areas": areas,
        "explanation": explained.as_json() if explained else None,
        "own_patterns": _own_patterns(known, {line["id"] for line in printed}),
    }


def _own_patterns(known: Atlas, printed: set[str]) -> list[dict[str, str]]:
    """The practice's own patterns among the printed lines, as they were: what they rest on, and why."""
    found = [muscle for name, muscle in known.muscles.items() if name in printed and own.is_own(muscle)]
    return [
        {
            "name": in_words(muscle.name),
            "words": own.words_of(known, muscle.id),
            "source": f"{muscle.sources[0].work}, {muscle.sources[0].chapter} ({muscle.sources[0].status})",
            "reason": muscle.sites[0].note,
        }
        for muscle in found
    ]


def _match_lines(ranking: Ranking, known: Atlas, what: str = "the drawing") -> list[dict[str, Any]]:
    return [_printed(match, words_of(match, what), known) for match in ranking.muscles]


def _whole_line(line: Line, known: Atlas) -> dict[str, Any]:
    return _printed(line, wholes.words_of(line), known)


def _printed(line: Match | Line, words: str, known: Atlas) -> dict[str, Any]:
    """`own` tells which version of an own pattern it is, "" for a pattern of the atlas."""
    return {
        "id": line.muscle,
        "name": without_brackets(in_words(line.name), "muscle"),
        "side": line.side,
        "words": words,
        "percent": max(1, round(100 * line.score)),
        "own": own.words_of(known, line.muscle),
    }


def _ranked_area(number: int, ranking: Ranking, known: Atlas) -> dict[str, Any]:
    lines = _match_lines(ranking, known, f"area {number}")
    return {
        "number": number,
        "lines": lines[:MOST_OF_AREA],
        "not_shown": max(0, len(lines) - MOST_OF_AREA),
        "notices": list(ranking.notices),
    }
