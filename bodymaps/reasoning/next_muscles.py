"""Muscles that could be pressed next: the leading ones that nobody has examined on that side yet.

How often the known pain is expected when the muscle is the source, and when it is not, follows from what both
results will count (evidence_muscles.toml). Another muscle that is the source brings it on as far as it shares
the area: with the same area as often, with none of it as seldom as anything else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from bodymaps import words
from bodymaps.reasoning import evidence_muscles, next_file
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.felt import CRITERIA, NO, RECOGNISED, YES, Felt
from bodymaps.reasoning.implied import shares
from bodymaps.reasoning.next_areas import Areas
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.possible import NAMED, Possible, Result, named
from bodymaps.reasoning.proposal import AREAS, MUSCLE
from bodymaps.reasoning.standing import Change, Standing, sided

# How many others, and how many places, a reason names.
OTHERS, PLACES = 2, 2


def possible(standing: Standing, areas: Areas) -> Iterator[Possible]:
    """Every leading muscle that may be pressed, in their order."""
    examined = {(one.muscle, one.side) for one in standing.facts.case.felt if one.is_examined}
    for one in muscles(standing):
        if (one.id, one.side) not in examined:
            found = _possible(one, standing, areas)
            if found:
                yield found


def muscles(standing: Standing) -> tuple[Judged, ...]:
    return tuple(one for one in standing.leading if one.layer == MUSCLE)


def _possible(one: Judged, standing: Standing, areas: Areas) -> Possible | None:
    site = areas.site.get(sided(one), "")
    changes = tuple(_change(one, site, answer, standing) for answer in (YES, NO))
    alone = shares(*([standing.moved(one, change)] for change in changes))
    if alone is None or alone.positive[0] <= alone.chance:
        return None
    shared = {sided(other): areas.share(sided(one), sided(other)) for other in muscles(standing)}
    numbers, said = next_file.load(), next_file.load().words
    return Possible(
        kind=MUSCLE,
        id=one.id,
        side=one.side,
        site=site,
        title=named(one),
        why=tuple(_why(one, shared, standing, areas)),
        basis=AREAS,
        source=numbers.pressing.source,
        status=numbers.pressing.status,
        caution="",
        positive=tuple(
            alone.chance + (alone.positive[0] - alone.chance) * shared.get(sided(other), 0.0)
            for other in standing.leading
        ),
        results=(
            Result(said["known_pain"], changes[0]),
            Result(said["not_known_pain"], changes[1]),
        ),
        same_as=frozenset(),
    )


def _change(one: Judged, site: str, answer: str, standing: Standing) -> Change:
    """The lines of pressing it, every sign answered the same way."""
    case = standing.facts.case
    found = Felt(one.id, one.side, site, dict.fromkeys((*CRITERIA, RECOGNISED), answer))
    lines = evidence_muscles.of(replace(case, felt=(*case.felt, found)), standing.atlas)
    rules = frozenset(each.saying.id for each in evidence_muscles.known().pressing)
    return Change(rules, {key: tuple(each) for key, each in lines.items()})


def _why(one: Judged, shared: Mapping[Sided, float], standing: Standing, areas: Areas) -> Iterator[str]:
    """What to expect, what tells it from the next ones, and what does not."""
    numbers, said = next_file.load(), next_file.load().words
    yield said["pressing"]
    others = [other for other in muscles(standing) if other is not one]
    same = [other for other in others if shared[sided(other)] >= numbers.pressing.same_share]
    yield from _only_here(one, [other for other in others if other not in same], areas)
    if same:
        name = "same_area" if len(same) == 1 else "same_area_several"
        yield said[name].format(others=_listed(same))
    elsewhere = [other for other in standing.leading if other.layer != MUSCLE]
    if elsewhere:
        yield said["not_pressed"].format(others=_listed(elsewhere))


def _only_here(one: Judged, others: Sequence[Judged], areas: Areas) -> Iterator[str]:
    """Where it refers and the next other ones do not, in words; others of which the same is said together."""
    numbers, said = next_file.load(), next_file.load().words
    by_places: dict[tuple[str, ...], list[Judged]] = {}
    for other in others[:OTHERS]:
        places = areas.only(sided(one), sided(other), numbers.pressing.place_share)
        if places:
            by_places.setdefault(tuple(place for place, _ in places[:PLACES]), []).append(other)
    for found, without in by_places.items():
        name = "only_here" if len(without) == 1 else "only_here_several"
        yield said[name].format(places=f"the {words.listed(list(found))}", others=_listed(without))


def _listed(found: Sequence[Judged]) -> str:
    """Names in a list, those beyond NAMED counted."""
    names = [one.name for one in found[:NAMED]]
    return words.listed([*names, f"{len(found) - NAMED} more"] if len(found) > NAMED else names)
