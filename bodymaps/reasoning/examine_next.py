"""What to examine next: the few findings that would separate the leading candidates best.

The leading candidates of the order with evidence are held against each other. Each finding that is not on
record yet is worth the information its outcome is expected to give (see gain): from published likelihood
ratios where they exist and from strengths of common practice where not (next_tests), from what of its
pattern a muscle shares with the others (next_muscles). The best comes first, then the one that adds most to
it, and so on, some of them muscles; of findings that stand for the same thing one is proposed. A screen of
nerves stands before them where a nerve is among the very first. What either result would change is
judged anew.

An organ is never weighed against what a hand may find: among the first, it is to be excluded before. It
suggests what to examine, it never diagnoses. Numbers and words stand in data/reasoning/examine_next.toml.
"""

from __future__ import annotations

from collections.abc import Sequence

from bodymaps import words
from bodymaps.atlas import Atlas
from bodymaps.matching import Ranking
from bodymaps.reasoning import (
    gain,
    next_areas,
    next_file,
    next_muscles,
    next_screen,
    next_tests,
    offered_tests,
    possible,
)
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.evidence import BY_FINDINGS, Evidence, Judged
from bodymaps.reasoning.gain import Chosen
from bodymaps.reasoning.possible import Possible
from bodymaps.reasoning.proposal import (
    AREAS,
    BASES,
    KINDS,
    MUSCLE,
    PRACTICE,
    PUBLISHED,
    SCREEN,
    TEST,
    Moved,
    Outcome,
    Proposal,
)
from bodymaps.reasoning.standing import Standing, sided

__all__ = [
    "AREAS",
    "BASES",
    "EXCLUDE",
    "KINDS",
    "MUSCLE",
    "PRACTICE",
    "PUBLISHED",
    "SCREEN",
    "TEST",
    "Moved",
    "Outcome",
    "Proposal",
    "proposals",
    "warm_up",
    "why_none",
]


# The id of the proposal that asks to exclude organs first.
EXCLUDE = "exclude"


def proposals(evidence: Evidence, facts: Facts, atlas: Atlas, ranking: Ranking) -> tuple[Proposal, ...]:
    """What to examine next, best first: organs to be excluded, then up to five findings. () when nothing was
    ranked or there is nothing to separate: `why_none` says which. Nothing may be proposed while a sign of
    danger waits for a decision: that is for the caller.
    """
    if ranking.held is None or not evidence.order:
        return ()
    standing = Standing(evidence, facts, atlas)
    areas = next_areas.of(ranking.held, [sided(one) for one in next_muscles.muscles(standing)])
    found = (
        *next_muscles.possible(standing, areas),
        *next_tests.possible(standing),
        *next_screen.possible(standing),
    )
    first = (_exclude(standing.organs),) if standing.organs else ()
    return (*first, *_chosen(found, standing))


def why_none(evidence: Evidence, facts: Facts, atlas: Atlas, ranking: Ranking) -> str:
    """Why there are no proposals, in one sentence."""
    said = next_file.load().words
    if ranking.held is None or not evidence.order:
        return said["none_drawn"]
    return said["one_only"] if len(evidence.order) == 1 else said["nothing_left"]


def warm_up(atlas: Atlas) -> None:
    """Read the rules and turn the patterns round (some tenths of a second), so that nobody waits for it."""
    next_file.load()
    offered_tests.alone()
    next_areas.warm_up(atlas)


def _chosen(found: Sequence[Possible], standing: Standing) -> tuple[Proposal, ...]:
    best = _best(found, standing, next_file.load().among.muscles)
    told = [possible.proposal(found[one.place], one.gain, standing) for one in best]
    return tuple(sorted(told, key=lambda one: one.kind != SCREEN) if _asks_for_nerves(standing) else told)


def _best(found: Sequence[Possible], standing: Standing, muscles: int) -> tuple[Chosen, ...]:
    """The best together, of them so many muscles; fewer where that many are not worth it."""
    among = next_file.load().among

    def beside(place: int, chosen: Sequence[int]) -> bool:
        before = [found[one] for one in chosen]
        wanted = muscles - sum(one.kind == MUSCLE for one in before)
        room = among.proposals - len(before)
        return (found[place].kind == MUSCLE or room > wanted) and found[place].adds_to(before)

    rates = [one.positive for one in found]
    best = gain.choose(standing.weights, rates, among.proposals, among.least_gain, beside)
    pressed = sum(found[one.place].kind == MUSCLE for one in best)
    return best if pressed >= muscles else _best(found, standing, pressed)


def _asks_for_nerves(standing: Standing) -> bool:
    """Whether a root, plexus or nerve is among the very first: its screen then comes before the rest."""
    first = standing.leading[: next_file.load().among.screen_among]
    return any(one.layer in BY_FINDINGS for one in first)


def _exclude(organs: Sequence[Judged]) -> Proposal:
    """Organs among the first, to be excluded before the hand goes on."""
    said, names = next_file.load().words, [one.name for one in organs]
    return Proposal(
        kind=SCREEN,
        id=EXCLUDE,
        side="",
        site="",
        title=said["exclude"].format(names=words.listed(names)),
        why=(said["exclude_why"],),
        separates=tuple(names),
        basis=PRACTICE,
        source="common practice",
        status="common practice",
        gain=0.0,
        outcomes=(),
    )
