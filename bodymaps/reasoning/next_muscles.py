"""Muscles that could be pressed next: the leading ones that nobody has examined on that side yet.

How often the known pain is expected when the muscle is the source, and when it is not, follows from what both
results will count (evidence_muscles.toml). Another muscle that is the source brings it on as far as it shares
the area: all of it under the same finger as often as the muscle itself, none of it as seldom as anything
else; pressed elsewhere, a shared area counts in part.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from bodymaps import words
from bodymaps.reasoning import evidence_muscles, next_file
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.felt import CRITERIA, NO, RECOGNISED, YES, Felt
from bodymaps.reasoning.implied import shares
from bodymaps.reasoning.next_areas import Areas
from bodymaps.reasoning.possible import Possible, Result, Told, listed, named
from bodymaps.reasoning.proposal import AREAS, MUSCLE
from bodymaps.reasoning.standing import ORGAN, Change, Standing, sided

# Of these nothing is said: muscles are compared one by one, and no organ is cleared by pressing.
NOT_COMPARED = (MUSCLE, ORGAN)
# How many others, and how many places, a reason names.
OTHERS, PLACES = 2, 2


def possible(standing: Standing, areas: Areas) -> Iterator[Possible]:
    """Every leading muscle that may be pressed, in their order; what was pressed along with one that was
    examined is left out.
    """
    felt = {(one.muscle, one.side) for one in standing.facts.case.felt if one.is_examined}
    examined = [one for one in muscles(standing) if (one.id, one.side) in felt]
    for one in muscles(standing):
        pressed = Pressed(one, standing, areas)
        if one not in examined and not any(pressed.is_same_press(other) for other in examined):
            found = _possible(pressed)
            if found:
                yield found


def muscles(standing: Standing) -> tuple[Judged, ...]:
    return tuple(one for one in standing.leading if one.layer == MUSCLE)


@dataclass(frozen=True, eq=False)
class Pressed:
    """A muscle that may be pressed, among the others."""

    one: Judged
    standing: Standing
    areas: Areas

    @property
    def others(self) -> tuple[Judged, ...]:
        return tuple(other for other in muscles(self.standing) if other is not self.one)

    @property
    def site(self) -> str:
        return self.areas.site[sided(self.one)]

    def change(self, answer: str) -> Change:
        """The lines of pressing it, every sign answered the same way."""
        case = self.standing.facts.case
        signs = dict.fromkeys((*CRITERIA, RECOGNISED), answer)
        felt = (*case.felt, Felt(self.one.id, self.one.side, self.site, signs))
        lines = evidence_muscles.of(replace(case, felt=felt), self.standing.atlas)
        rules = frozenset(each.saying.id for each in evidence_muscles.known().pressing)
        return Change(rules, {key: tuple(each) for key, each in lines.items()})

    def taken_for(self, other: Judged) -> float:
        """How far (0..1) pressing this muscle looks as if it were the source when another one is."""
        if other is self.one:
            return 1.0
        if other.layer != MUSCLE:
            return 0.0
        share = self.areas.share(sided(self.one), sided(other))
        return share if self.is_beside(other) else share * next_file.load().pressing.elsewhere

    def is_beside(self, other: Judged) -> bool:
        return self.areas.apart_mm(sided(self.one), sided(other)) <= next_file.load().pressing.finger_mm

    def has_area_of(self, other: Judged) -> bool:
        """Whether the other refers to most of its area."""
        share = self.areas.share(sided(self.one), sided(other))
        return share >= next_file.load().pressing.same_share

    def is_same_press(self, other: Judged) -> bool:
        """Whether one finger presses both, and one of them refers to most of the area of the other."""
        return self.is_beside(other) and (
            self.has_area_of(other) or replace(self, one=other).has_area_of(self.one)
        )


def _possible(pressed: Pressed) -> Possible | None:
    one, standing = pressed.one, pressed.standing
    implied = shares(*([standing.moved(one, pressed.change(answer))] for answer in (YES, NO)))
    if implied is None or implied.positive[0] <= implied.chance:
        return None
    more = implied.positive[0] - implied.chance
    return Possible(
        kind=MUSCLE,
        id=one.id,
        side=one.side,
        positive=tuple(implied.chance + more * pressed.taken_for(other) for other in standing.leading),
        tell=partial(_tell, pressed),
        instead=frozenset(
            (MUSCLE, other.id, other.side) for other in pressed.others if pressed.is_same_press(other)
        ),
    )


def _tell(pressed: Pressed) -> Told:
    numbers, said = next_file.load().pressing, next_file.load().words
    return Told(
        title=named(pressed.one),
        why=tuple(_why(pressed)),
        basis=AREAS,
        source=numbers.source,
        status=numbers.status,
        results=(
            Result(said["known_pain"], pressed.change(YES)),
            Result(said["not_known_pain"], pressed.change(NO)),
        ),
        site=pressed.site,
        caution=" ".join(pressed.standing.atlas.muscles[pressed.one.id].cautions),
    )


def _why(pressed: Pressed) -> Iterator[str]:
    """What to expect, what tells it from the next ones, and what does not."""
    beside = [other for other in pressed.others if pressed.is_same_press(other)]
    rest = [other for other in pressed.others if other not in beside]
    same_area = [other for other in rest if pressed.has_area_of(other)]
    own = list(_only_here(pressed, [other for other in rest if other not in same_area]))
    yield " ".join((next_file.load().words["pressing"], *own[:1]))
    yield from own[1:]
    yield from _said("beside", beside)
    yield from _said("same_area", same_area)
    yield from _said("other_kind", [one for one in pressed.standing.leading if one.layer not in NOT_COMPARED])


def _only_here(pressed: Pressed, others: Sequence[Judged]) -> Iterator[str]:
    """Where it refers and the next other ones do not, in words; others of which the same is said together."""
    least = next_file.load().pressing.place_share
    by_places: dict[tuple[str, ...], list[Judged]] = {}
    for other in others[:OTHERS]:
        places = pressed.areas.only(sided(pressed.one), sided(other), least)
        if places:
            by_places.setdefault(tuple(place for place, _ in places[:PLACES]), []).append(other)
    for found, without in by_places.items():
        yield from _said("only_here", without, places=words.listed(list(found)))


def _said(name: str, others: Sequence[Judged], **more: str) -> Iterator[str]:
    """A sentence about others, in the form for one or for several; none about nobody."""
    said = next_file.load().words
    if others:
        form = f"{name}_several" if len(others) > 1 else name
        yield words.sentence_case(said.get(form, said[name]).format(others=listed(others), **more))
