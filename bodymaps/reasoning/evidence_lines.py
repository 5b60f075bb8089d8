"""The lines for and against each candidate: which rules hold, and which of them count."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from bodymaps.atlas import SIDES, Atlas
from bodymaps.reasoning import evidence_muscles, evidence_nerves, evidence_rules, own_areas
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, Key, Line, Rule
from bodymaps.reasoning.own_areas import Sided

# A single structure in the middle is asked about as that.
ALL_SIDES = (*SIDES, "midline")

Places = frozenset[tuple[str, str, str]]
Because = tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Lines:
    """The lines of one case. `own`: what is drawn in the area of each candidate."""

    found: Mapping[Sided, tuple[Line, ...]]
    own: Mapping[Sided, Places]

    def of(self, one: Sided) -> tuple[Line, ...]:
        """All lines of a candidate, those for first, strongest first; the counted ones marked."""
        return counted(self.found.get(one, ()))

    def any_for(self, one: Sided) -> bool:
        return any(line.speaks == FOR for line in self.found.get(one, ()))

    def drawn_on(self, one: Sided) -> bool:
        """Whether anything is drawn where the candidate is felt."""
        return one in self.own

    def by_findings(self, one: Sided) -> bool:
        """Whether a finding on examination is among what speaks for it."""
        return any(line.speaks == FOR and line.by_finding for line in self.found.get(one, ()))

    def by_pressing(self, one: Sided) -> bool:
        """Whether pressing this muscle brings on the known pain."""
        return any(line.rule == evidence_muscles.ACTIVE for line in self.found.get(one, ()))


def of(facts: Facts, atlas: Atlas) -> Lines:
    """The lines of a case."""
    own = own_areas.of(atlas).of(facts.drawn)
    nerves = evidence_nerves.of(facts.case, atlas, own)
    # A rule about the own area is asked where something is drawn in it, or where signs fit.
    fitting = (
        one for one, lines in nerves.items() if any(line.rule == evidence_nerves.FITS for line in lines)
    )
    in_question = {**dict.fromkeys(fitting, frozenset()), **own}
    found = {one: list(lines) for one, lines in nerves.items()}
    for one, pressed in evidence_muscles.of(facts.case, atlas).items():
        found.setdefault(one, []).extend(pressed)
    known = {*facts.case.history, *(key for key, _ in facts.case.findings)}
    for rule in evidence_rules.rules():
        if rule.can_hold(known):
            by_place = rule.own and rule.sees_drawing
            for one, line in (_own if by_place else _shared)(rule, facts, in_question):
                found.setdefault(one, []).append(line)
    return Lines({one: tuple(lines) for one, lines in found.items()}, own)


def of_rule(rule: Rule, facts: Facts, one: Sided, places: Places | None) -> Iterator[Line]:
    """What one rule says of one candidate. `places`: what is drawn in its area, None when it is not in
    question.
    """
    if one[:2] not in rule.named or rule.side not in ("", one[2]) or (rule.own and places is None):
        return
    by_place = rule.own and rule.sees_drawing
    seen = Facts(facts.case, Drawn(places or frozenset())) if by_place else facts
    asked = one[2] if by_place or rule.asks_side else ""
    if rule.condition.holds(seen, asked):
        because = rule.condition.because(seen, asked)
        yield from (line for keys, line in _said(rule, because) if one[:2] in keys)


def _shared(rule: Rule, facts: Facts, in_question: Mapping[Sided, Places]) -> Iterator[tuple[Sided, Line]]:
    """The lines of a rule that says the same of every candidate of a side."""
    for side, because in _held(rule, facts):
        for keys, line in _said(rule, because):
            named = ((*key, side) for key in keys)
            yield from ((one, line) for one in named if not rule.own or one in in_question)


def _held(rule: Rule, facts: Facts) -> Iterator[tuple[str, Because]]:
    """The sides a rule holds for, and why."""
    sides = (rule.side,) if rule.side else ALL_SIDES
    for asked in sides if rule.asks_side else ("",):
        if rule.condition.holds(facts, asked):
            because = rule.condition.because(facts, asked)
            yield from ((side, because) for side in ((asked,) if rule.asks_side else sides))


def _own(rule: Rule, facts: Facts, in_question: Mapping[Sided, Places]) -> Iterator[tuple[Sided, Line]]:
    """The lines of a rule about what is drawn in the area of each candidate."""
    asked: dict[tuple[str, Places], Because | None] = {}
    for one, places in in_question.items():
        key, side = one[:2], one[2]
        if (rule.side and rule.side != side) or key not in rule.named:
            continue
        if (side, places) not in asked:
            seen = Facts(facts.case, Drawn(places))
            holds = rule.condition.holds(seen, side)
            asked[side, places] = rule.condition.because(seen, side) if holds else None
        because = asked[side, places]
        if because is not None:
            yield from ((one, line) for keys, line in _said(rule, because) if key in keys)


def _said(rule: Rule, because: Because) -> Iterator[tuple[tuple[Key, ...], Line]]:
    """For whom, and against whom, with the line that says so."""
    for keys, speaks, words, weight in (
        (rule.speaks_for, FOR, rule.words, rule.weight),
        (rule.against, AGAINST, rule.words_against, rule.weight_against),
    ):
        if keys:
            yield (
                keys,
                Line(
                    rule=rule.id,
                    speaks=speaks,
                    words=words,
                    because=because,
                    source=rule.source,
                    status=rule.status,
                    weight=weight,
                    about=rule.about,
                    by_finding=rule.asks_findings,
                ),
            )


def counted(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Those for first, strongest first; of each `about` only the strongest for and against are counted."""
    ordered = sorted(lines, key=lambda line: (line.speaks != FOR, -abs(line.weight)))
    seen: set[tuple[str, str]] = set()
    found = []
    for line in ordered:
        first = (line.speaks, line.about) not in seen
        found.append(line if first and line.counted else replace(line, counted=False))
        if line.counted:
            seen.add((line.speaks, line.about))
    return tuple(found)
