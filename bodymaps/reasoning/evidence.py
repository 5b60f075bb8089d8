"""What speaks for and against every candidate beside the geometry, and a second, named order.

    total = agreement + evidence

agreement (0..1): how alike drawing and area are, as the geometry says. Of the whole drawing for muscles,
joints, organs and nerves that ache; of its burning, shooting, tingling and numb part only for roots,
plexuses and nerves of the skin; 0 for what the geometry did not name.

evidence: the sum of the lines. A line with a published likelihood ratio weighs 0.19 x ln(ratio) (McGee S, J
Gen Intern Med 2002;17:646-9: ratios as steps of probability that add up); a line of common practice has the
small fixed weight of its strength, which is this product's judgement. Lines about the same thing are
correlated: within one candidate the strongest for and the strongest against count once, the others are
shown and not counted. The sum is clipped. All numbers stand in data/reasoning/evidence.toml.

No total is a probability, and no line says what somebody has. The order of the geometry is left as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from bodymaps.atlas import SIDES, Atlas
from bodymaps.counted import COMPARED, DIGITS
from bodymaps.matching import Ranking
from bodymaps.reasoning import evidence_lines, evidence_nerves, evidence_rules
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence_lines import Lines
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, Line, Rule
from bodymaps.reasoning.own_areas import Sided

__all__ = [
    "AGAINST",
    "FOR",
    "Evidence",
    "Judged",
    "Line",
    "judge",
    "rules",
    "warm_up",
]

WHOLE, NERVE_LIKE = "the whole drawing", "the burning, shooting, tingling and numb part"
# Less than this is rounding.
NOTHING = 1e-9
# What single findings bring in though nothing is drawn there: what they name is examined, not felt.
BY_FINDINGS = ("root", "plexus", "peripheral_nerve")


@dataclass(frozen=True)
class Judged:
    """One candidate. `agreement` 0..1 and what it is of; `evidence`: the clipped sum of the counted lines;
    `place` in this order from 1; `geometry_place`: in the geometry's order of its layer, None when it is not
    named there. `lines`: those for first, strongest first.
    """

    layer: str
    id: str
    name: str
    side: str
    agreement: float
    agreement_of: str
    evidence: float
    total: float
    place: int
    geometry_place: int | None
    lines: tuple[Line, ...]

    @property
    def arithmetic(self) -> str:
        """The sum as a line to read: "0.42 of the whole drawing +0.36 for -0.08 against = 0.70"."""
        parts = [f"{self.agreement:.2f} of {self.agreement_of or 'the drawing'}"]
        for lines, what in ((self.speaks_for, FOR), (self.speaks_against, AGAINST)):
            if weight := sum(line.weight for line in lines if line.counted):
                parts.append(f"{weight:+.2f} {what}")
        kept = self.evidence - sum(line.weight for line in self.lines if line.counted)
        if abs(kept) > NOTHING:
            parts.append(f"{kept:+.2f} to keep the lines within {abs(self.evidence):.2f}")
        return f"{' '.join(parts)} = {self.total:.2f}"

    @property
    def speaks_for(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.speaks == FOR)

    @property
    def speaks_against(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.speaks == AGAINST)


@dataclass(frozen=True)
class Evidence:
    """The second order, across all layers, best total first."""

    order: tuple[Judged, ...]

    @cached_property
    def _by_key(self) -> Mapping[Sided, Judged]:
        return {(one.layer, one.id, one.side): one for one in self.order}

    def of(self, layer: str, name: str, side: str) -> Judged | None:
        """One candidate; None when it is not in the order."""
        return self._by_key.get((layer, name, side))

    def as_json(self) -> dict[str, Any]:
        """`order_with_evidence` and, in the same order, `evidence`: the lines of each candidate."""
        return {
            "order_with_evidence": [_placed(one) for one in self.order],
            "evidence": [
                {
                    "layer": one.layer,
                    "id": one.id,
                    "side": one.side,
                    "for": [_line(line) for line in one.speaks_for],
                    "against": [_line(line) for line in one.speaks_against],
                }
                for one in self.order
            ],
        }


def rules() -> tuple[Rule, ...]:
    """Every rule, for the page that lists them."""
    return evidence_rules.rules()


def warm_up(atlas: Atlas) -> None:
    """Read the rules and find where each candidate is felt (some tenths of a second, kept for the process),
    so that no `judge` waits.
    """
    evidence_lines.of(Facts(Case(), Drawn()), atlas)
    evidence_nerves.known()


def judge(ranking: Ranking, facts: Facts, atlas: Atlas) -> Evidence:
    """Hold story and findings against every candidate of an atlas, beside what the geometry says.

    What the geometry named is always there. Beside it come roots, plexuses, nerves, joints and organs for
    which the lines are clearly positive; what lies elsewhere than the drawing comes by findings only, an
    organ that may be urgent by the story too. A muscle that was not named comes when pressing it brings on
    the known pain.
    """
    named = dict(_named(ranking))
    lines = evidence_lines.of(facts, atlas)
    judged = [
        _judged(one, lines, atlas, named.get(one))
        for one in _candidates(atlas)
        if one in named or _comes_in(one, lines, atlas)
    ]
    judged.sort(key=lambda one: -round(one.total, COMPARED))
    return Evidence(tuple(replace(one, place=place) for place, one in enumerate(judged, 1)))


@dataclass(frozen=True)
class Named:
    """What the geometry says of a candidate."""

    agreement: float
    of: str
    place: int


def _named(ranking: Ranking) -> Iterable[tuple[Sided, Named]]:
    for place, match in enumerate(ranking.muscles, 1):
        yield ("muscle", match.muscle, match.side), Named(match.score, WHOLE, place)
    for place, root in enumerate(ranking.roots, 1):
        yield ("root", root.root, root.side), Named(root.score, NERVE_LIKE, place)
    for layer, found in ranking.beside.items():
        for place, one in enumerate(found, 1):
            of = WHOLE if "drawing" in one.reasons[0] else NERVE_LIKE
            yield (layer, one.id, one.side), Named(one.score, of, place)


def _candidates(atlas: Atlas) -> Iterable[Sided]:
    for layer, name in evidence_rules.keys_of(atlas):
        sides = atlas.structures[layer][name].held_sides if layer in atlas.structures else SIDES
        yield from ((layer, name, side) for side in sides)


def _comes_in(one: Sided, lines: Lines, atlas: Atlas) -> bool:
    """Whether the lines bring in a candidate that the geometry did not name. A muscle only by pressing it."""
    if not lines.any_for(one):
        return False
    near = lines.drawn_on(one) or (one[0] in BY_FINDINGS and lines.by_findings(one)) or one[0] == "visceral"
    if one[0] == "muscle":
        near = lines.by_pressing(one)
    return near and _sum(lines.of(one), _urgent(one, atlas)) >= evidence_rules.arithmetic().enters_from


def _judged(one: Sided, lines: Lines, atlas: Atlas, named: Named | None) -> Judged:
    found = lines.of(one)
    evidence = _sum(found, _urgent(one, atlas))
    agreement = named.agreement if named else 0.0
    return Judged(
        layer=one[0],
        id=one[1],
        name=evidence_rules.name(one, atlas),
        side=one[2],
        agreement=agreement,
        agreement_of=named.of if named else "",
        evidence=evidence,
        total=agreement + evidence,
        place=0,
        geometry_place=named.place if named else None,
        lines=found,
    )


def _sum(lines: Iterable[Line], urgent: bool) -> float:
    """The counted lines together, clipped. An urgent organ is lowered by little: nothing here clears it."""
    numbers = evidence_rules.arithmetic()
    least = numbers.most_against_urgent if urgent else numbers.most
    return max(-least, min(numbers.most, sum(line.weight for line in lines if line.counted)))


def _urgent(one: Sided, atlas: Atlas) -> bool:
    return one[0] == "visceral" and atlas.structures["visceral"][one[1]].urgent


def _placed(one: Judged) -> dict[str, Any]:
    return {
        "place": one.place,
        "layer": one.layer,
        "id": one.id,
        "name": one.name,
        "side": one.side,
        "agreement": round(one.agreement, DIGITS),
        "agreement_of": one.agreement_of,
        "evidence": round(one.evidence, DIGITS),
        "arithmetic": one.arithmetic,
        "total": round(one.total, DIGITS),
        "geometry_place": one.geometry_place,
    }


def _line(line: Line) -> dict[str, Any]:
    return {
        "words": line.words,
        "because": list(line.because),
        "source": line.source,
        "status": line.status,
        "weight": round(line.weight, DIGITS),
        "counted": line.counted,
        "about": line.about,
        "rule": line.rule,
    }
