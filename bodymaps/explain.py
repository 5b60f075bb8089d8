"""Several areas of pain: each ranked alone, and the whole by what explains it.

A muscle explains an area when enough of the area lies in its pattern and few fit it much better. The whole
is ordered by how well a muscle fits all areas, each counted alike. It suggests what to examine, it never
diagnoses. All numbers stand, with their reasons, in data/explain.toml. The fewest sources that explain the
whole drawing stand in fewest.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps import describe, matching, words
from bodymaps.atlas import SIDES, Atlas
from bodymaps.counted import DIGITS
from bodymaps.fewest import Fewest
from bodymaps.marks import Mark
from bodymaps.matching import Match, Ranking
from bodymaps.skin import Skin

FILE = Path(__file__).parent / "data" / "explain.toml"


@dataclass(frozen=True)
class Parameters:
    """The numbers of data/explain.toml; see there for their reasons."""

    version: str
    explains_share: float
    least_of_best: float
    size_power: float


@cache
def parameters() -> Parameters:
    with FILE.open("rb") as file:
        return Parameters(**tomllib.load(file))


@dataclass(frozen=True)
class Share:
    """What a muscle makes of one area (numbered from 1) with the site that fits it best."""

    area: int
    site: str
    score: float
    explained: float
    core_coverage: float
    explains: bool


@dataclass(frozen=True)
class Line:
    """One muscle on one side held against all areas: its mean score, and what it makes of each it touches."""

    muscle: str
    name: str
    side: str
    score: float
    shares: tuple[Share, ...]

    @property
    def explains(self) -> tuple[int, ...]:
        return tuple(share.area for share in self.shares if share.explains)

    @property
    def words(self) -> str:
        return f"{self.side} {self.name}"


@dataclass(frozen=True)
class Explanation:
    """`rankings`: each area alone. `whole`: every muscle that touches any area, best first. `unexplained`:
    areas that were ranked and that nothing explains; `unranked`: areas that could not be ranked, see their
    notices. `sentences` say both in plain words.
    """

    rankings: tuple[Ranking, ...]
    whole: tuple[Line, ...]
    unexplained: tuple[int, ...]
    unranked: tuple[int, ...]
    sentences: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Plain data with the versions of this and of the ranking."""
        return {
            "explanation": parameters().version,
            "areas": [{"area": n, **one.as_json()} for n, one in enumerate(self.rankings, start=1)],
            "whole": [_line_json(line) for line in self.whole],
            "unexplained": list(self.unexplained),
            "unranked": list(self.unranked),
            "sentences": list(self.sentences),
        }


def _line_json(line: Line) -> dict[str, Any]:
    return {
        "id": line.muscle,
        "name": line.name,
        "side": line.side,
        "score": round(line.score, DIGITS),
        "areas": [
            {
                "area": share.area,
                "site": share.site,
                "score": round(share.score, DIGITS),
                "explained": round(share.explained, DIGITS),
                "explains": share.explains,
            }
            for share in line.shares
        ],
    }


def explain(areas: Sequence[Sequence[Mark]], atlas: Atlas, *, skin: Skin | None = None) -> Explanation:
    """Rank each area, then say what explains the whole. Areas are numbered from 1 in the order given.

    With one area the whole has the order of `matching.rank`. About 15 ms an area.
    """
    rankings = tuple(matching.rank(marks, atlas, something_drawn=True, skin=skin) for marks in areas)
    whole = _whole(rankings, _weights(areas, rankings), atlas)
    unranked = tuple(number for number, one in enumerate(rankings, start=1) if one.stands_aside)
    explained = {number for line in whole for number in line.explains}
    unexplained = tuple(n for n in range(1, len(areas) + 1) if n not in explained and n not in unranked)
    asides = [f"{words.sentence_case(_areas([n]))}: {rankings[n - 1].notices[0]}" for n in unranked]
    return Explanation(rankings, whole, unexplained, unranked, _sentences(unexplained, asides))


def _weights(areas: Sequence[Sequence[Mark]], rankings: Sequence[Ranking]) -> dict[int, float]:
    """How much each ranked area counts in the whole; together 1."""
    sizes = {
        number: describe.total_cm2(marks) ** parameters().size_power
        for number, (marks, one) in enumerate(zip(areas, rankings, strict=True), start=1)
        if not one.stands_aside
    }
    return {number: size / sum(sizes.values()) for number, size in sizes.items()}


def _whole(rankings: Sequence[Ranking], weights: Mapping[int, float], atlas: Atlas) -> tuple[Line, ...]:
    found: dict[tuple[str, str], dict[int, Match]] = {}
    for number, one in enumerate(rankings, start=1):
        for match in one.muscles:
            found.setdefault((match.muscle, match.side), {})[number] = match
    best = {
        number: rankings[number - 1].muscles[0].score for number in weights if rankings[number - 1].muscles
    }
    lines = [_line(matches, weights, best) for matches in found.values()]
    order = {muscle: place for place, muscle in enumerate(atlas.muscles)}
    return tuple(sorted(lines, key=lambda line: _sort_key(line, weights, order)))


def _line(matches: Mapping[int, Match], weights: Mapping[int, float], best: Mapping[int, float]) -> Line:
    any_one = next(iter(matches.values()))
    score = sum(weights[number] * match.score for number, match in matches.items())
    shares = tuple(_share(number, match, best[number]) for number, match in matches.items())
    return Line(any_one.muscle, any_one.name, any_one.side, score, shares)


def _share(number: int, match: Match, best: float) -> Share:
    limits = parameters()
    explains = match.explained >= limits.explains_share and match.score >= limits.least_of_best * best
    return Share(number, match.site, match.score, match.explained, match.core_coverage, explains)


def _sort_key(line: Line, weights: Mapping[int, float], order: Mapping[str, int]) -> tuple[float, ...]:
    """As a ranking is ordered: score, core covered, drawing explained, the atlas, right before left."""
    covered = sum(weights[share.area] * share.core_coverage for share in line.shares)
    explained = sum(weights[share.area] * share.explained for share in line.shares)
    return (
        -round(line.score, 9),
        -round(covered, 9),
        -round(explained, 9),
        order[line.muscle],
        SIDES.index(line.side),
    )


def _sentences(unexplained: Sequence[int], asides: Sequence[str]) -> tuple[str, ...]:
    silent = [f"No muscle of this atlas explains {_areas(unexplained)}."] if unexplained else []
    return (*silent, *asides)


def together(found: Fewest, whole: Sequence[Line], areas: Sequence[Sequence[Mark]]) -> str:
    """What explains the whole drawing in a sentence that names the areas each muscle explains, and those that
    stay unexplained.
    """
    explained = {(line.muscle, line.side): _areas(line.explains) for line in whole if line.explains}
    unexplained = found.unexplained(areas, parameters().explains_share)
    return found.told(explained, _areas(unexplained) if unexplained else "")


def _areas(numbers: Sequence[int]) -> str:
    """ "area 1", "areas 1, 2 and 3"."""
    return f"{'area' if len(numbers) == 1 else 'areas'} {words.listed([str(number) for number in numbers])}"
