"""How the candidates stand, and how they would stand with one more finding: without judging all of it anew.

A finding changes the lines of the rules that ask for it, and no others. Those are made again with the finding
added; of each candidate, and of each `about`, the strongest for and the strongest against count, as in
evidence. The places are those `evidence.judge` would give to the candidates that stand there now (tested).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from bodymaps.atlas import Atlas
from bodymaps.counted import COMPARED
from bodymaps.reasoning import (
    evidence_lines,
    evidence_nerves,
    evidence_rules,
    gain,
    next_file,
    own_areas,
)
from bodymaps.reasoning.clusters import Cluster, Single
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.evidence import Evidence, Judged
from bodymaps.reasoning.evidence_lines import ALL_SIDES, Places
from bodymaps.reasoning.evidence_rules import Line
from bodymaps.reasoning.felt import RECOGNISED
from bodymaps.reasoning.gain import Shares
from bodymaps.reasoning.neuro import Fit
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.proposal import MUSCLE

ORGAN = "visceral"


def sided(one: Judged) -> Sided:
    return (one.layer, one.id, one.side)


@dataclass(frozen=True)
class Change:
    """What a finding does to the lines: rules whose lines are made again, and the lines they then give."""

    rules: frozenset[str]
    lines: Mapping[Sided, tuple[Line, ...]] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Standing:
    """The candidates as they stand. Organs among the first are not weighed: nothing the hand finds settles
    them.
    """

    evidence: Evidence
    facts: Facts
    atlas: Atlas

    @cached_property
    def first(self) -> tuple[Judged, ...]:
        """The leading candidates, organs among them."""
        return self.evidence.order[: next_file.load().among.candidates]

    @cached_property
    def organs(self) -> tuple[Judged, ...]:
        return tuple(one for one in self.first if one.layer == ORGAN)

    @cached_property
    def leading(self) -> tuple[Judged, ...]:
        """Those a finding of the hand may separate: no organ, and nobody so far behind the best of them that
        evidence could not bring the two together. A muscle that brought on the known pain is always one.
        """
        found = [one for one in self.first if one.layer != ORGAN]
        most = next_file.load().among.reach * evidence_rules.arithmetic().most
        least = max((one.total for one in found), default=0.0) - most
        near = [one for one in found if one.total >= least]
        return tuple(one for one in self.evidence.order if one in near or self._is_known(one))

    def _is_known(self, one: Judged) -> bool:
        """Whether pressing a muscle brought on the pain the patient knows."""
        return one.layer == MUSCLE and any(
            (felt.muscle, felt.side) == (one.id, one.side) and felt.is_(RECOGNISED)
            for felt in self.facts.case.felt
        )

    @cached_property
    def weights(self) -> Shares:
        """Of the leading ones: only to choose by."""
        found = gain.weights([one.total for one in self.leading], evidence_rules.arithmetic().step)
        return gain.kept_below(found, next_file.load().among.leader_most)

    @cached_property
    def own(self) -> Mapping[Sided, Places]:
        """What is drawn in the area of each candidate; of those in question by their nerve signs nothing."""
        fitting = {(fit.layer, fit.id, fit.side): frozenset[tuple[str, str, str]]() for fit in self.fits}
        return {**fitting, **self.drawn_on}

    @cached_property
    def drawn_on(self) -> Mapping[Sided, Places]:
        return own_areas.of(self.atlas).of(self.facts.drawn)

    @cached_property
    def fits(self) -> list[Fit]:
        return evidence_nerves.fits_of(self.facts.case) if self.facts.case.findings else []

    @cached_property
    def with_ratio(self) -> tuple[Cluster | Single, ...]:
        """The tests on record that have a published ratio about roots."""
        return evidence_nerves.with_ratio(self.facts.case)

    @cached_property
    def places(self) -> Mapping[Sided, int]:
        return {sided(one): one.place for one in self.evidence.order}

    def moved(self, one: Judged, change: Change) -> float:
        """By how much a candidate's lines would weigh more (less: negative), before the sum is clipped."""
        new = change.lines.get(sided(one), ())
        old = [line for line in one.lines if line.rule in change.rules]
        if not new and not old:
            return 0.0
        about = {line.about for line in (*new, *old)}
        kept = [line for line in one.lines if line.about in about and line.rule not in change.rules]
        return _counted((*kept, *new)) - _counted([*kept, *old])

    def said(self, one: Judged, change: Change) -> tuple[Line, ...]:
        """What a change would say of a candidate that is not said of it now, and would count."""
        now = {(line.rule, line.speaks, line.weight) for line in one.lines}
        kept = [line for line in one.lines if line.rule not in change.rules and _may_count(line)]
        found = evidence_lines.counted([*kept, *change.lines.get(sided(one), ())])
        return tuple(
            line for line in found if line.counted and (line.rule, line.speaks, line.weight) not in now
        )

    def after(self, change: Change) -> tuple[tuple[Judged, float], ...]:
        """The order with the change: each candidate, as it stands now, and what its total is then."""
        found = [(one, self._total(one, change)) for one in self.evidence.order]
        found.sort(key=lambda pair: (-round(pair[1], COMPARED), self._of_ties[sided(pair[0])]))
        return tuple(found)

    @cached_property
    def _of_ties(self) -> Mapping[Sided, tuple[int, int]]:
        """The fixed order of ties: that of the atlas, right before left."""
        keys = {key: place for place, key in enumerate(evidence_rules.keys_of(self.atlas))}
        return {
            (layer, name, side): (keys[layer, name], ALL_SIDES.index(side))
            for layer, name, side in self.places
        }

    def _total(self, one: Judged, change: Change) -> float:
        moved = self.moved(one, change)
        if not moved:
            return one.total
        numbers = evidence_rules.arithmetic()
        urgent = one.layer == ORGAN and self.atlas.structures[ORGAN][one.id].urgent
        least = numbers.most_against_urgent if urgent else numbers.most
        told = sum(line.weight for line in one.lines if line.counted) + moved
        return one.agreement + max(-least, min(numbers.most, told))


def _counted(lines: Iterable[Line]) -> float:
    """The strongest for and the strongest against of each `about`, together."""
    strongest: dict[tuple[str, str], float] = {}
    for line in lines:
        if abs(line.weight) > abs(strongest.get((line.about, line.speaks), 0.0)) and _may_count(line):
            strongest[line.about, line.speaks] = line.weight
    return sum(strongest.values())


def _may_count(line: Line) -> bool:
    """Whether nothing but a stronger line keeps it from counting. A single test that a cluster counts already
    never does; of the others the weaker ones lose here as they lost before.
    """
    return line.counted or not line.rule.startswith(evidence_nerves.RATIO)
