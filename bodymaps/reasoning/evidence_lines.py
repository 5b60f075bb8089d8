"""The lines for and against each candidate: which rules hold, and which of them count."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from bodymaps.atlas import Atlas
from bodymaps.reasoning import evidence_nerves, evidence_rules, own_areas
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.evidence_rules import AGAINST, FOR, Key, Line, Rule
from bodymaps.reasoning.own_areas import Sided


@dataclass(frozen=True, eq=False)
class Book:
    """By candidate the rules that name it, each with what it then says."""

    by_candidate: Mapping[Key, tuple[tuple[Rule, str], ...]]


@lru_cache(maxsize=4)
def book(atlas: Atlas) -> Book:
    found: dict[Key, list[tuple[Rule, str]]] = {}
    for rule in evidence_rules.rules():
        for speaks, keys in ((FOR, rule.speaks_for), (AGAINST, rule.against)):
            for key in keys:
                found.setdefault(key, []).append((rule, speaks))
    return Book({key: tuple(pairs) for key, pairs in found.items()})


def of(facts: Facts, atlas: Atlas) -> Lines:
    """The lines of a case, worked out for each candidate when it is asked for."""
    own = own_areas.of(atlas).of(facts.drawn)
    known = {*facts.case.history, *(key for key, _ in facts.case.findings)}
    possible = frozenset(rule.id for rule in evidence_rules.rules() if rule.can_hold(known))
    return Lines(facts, book(atlas), own, evidence_nerves.of(facts.case, atlas, own), possible)


@dataclass(eq=False)
class Lines:
    """The lines of one case. `own`: what is drawn in the area of each candidate; `nerves`: its lines from the
    neuro screen; `possible`: the rules of which something is known. What a rule says of a side is worked out
    once.
    """

    facts: Facts
    book: Book
    own: Mapping[Sided, frozenset[tuple[str, str, str]]]
    nerves: Mapping[Sided, list[Line]]
    possible: frozenset[str]
    _said: dict[object, tuple[str, ...] | None] = field(default_factory=dict)
    _of: dict[Sided, tuple[Line, ...]] = field(default_factory=dict)

    def of(self, one: Sided) -> tuple[Line, ...]:
        """All lines of a candidate, those for first, strongest first; the counted ones marked."""
        if one not in self._of:
            self._of[one] = counted(self._lines(one))
        return self._of[one]

    def any_for(self, one: Sided) -> bool:
        return any(line.speaks == FOR for line in self.of(one))

    def drawn_on(self, one: Sided) -> bool:
        """Whether anything is drawn where the candidate is felt."""
        return bool(self.own.get(one))

    def by_findings(self, one: Sided) -> bool:
        """Whether a finding on examination is among what speaks for it."""
        asking = {rule.id for rule, _ in self.book.by_candidate.get(one[:2], ()) if rule.asks_findings}
        asking |= {line.rule for line in self.nerves.get(one, ())}
        return any(line.speaks == FOR and line.rule in asking for line in self.of(one))

    def _lines(self, one: Sided) -> Iterable[Line]:
        nerves = self.nerves.get(one, ())
        yield from nerves
        # Its own area is asked about when something is drawn there, or signs fit.
        in_question = one in self.own or any(line.rule == evidence_nerves.FITS for line in nerves)
        for rule, speaks in self.book.by_candidate.get(one[:2], ()):
            asked = rule.id in self.possible and rule.side in ("", one[2])
            if not asked or (rule.own and not in_question):
                continue
            because = self._because(rule, one)
            if because is not None:
                yield line_of(rule, speaks, because)

    def _because(self, rule: Rule, one: Sided) -> tuple[str, ...] | None:
        """Why the rule holds for the candidate, None when it does not."""
        places = self.own.get(one, frozenset()) if rule.own else None
        asked = (rule.id, one[2], places)
        if asked not in self._said:
            facts = self.facts if places is None else Facts(self.facts.case, Drawn(places))
            holds = rule.condition.holds(facts, one[2])
            self._said[asked] = rule.condition.because(facts, one[2]) if holds else None
        return self._said[asked]


def line_of(rule: Rule, speaks: str, because: tuple[str, ...]) -> Line:
    told = speaks == FOR
    return Line(
        rule=rule.id,
        speaks=speaks,
        words=rule.words if told else rule.words_against,
        because=because,
        source=rule.source,
        status=rule.status,
        weight=rule.weight if told else rule.weight_against,
        about=rule.about,
    )


def counted(lines: Iterable[Line]) -> tuple[Line, ...]:
    """Those for first, strongest first; of each `about` only the strongest for and against are counted."""
    ordered = sorted(lines, key=lambda line: (line.speaks != FOR, -abs(line.weight)))
    seen: set[tuple[str, str]] = set()
    found = []
    for line in ordered:
        first = (line.speaks, line.about) not in seen
        seen.add((line.speaks, line.about))
        found.append(line if first and line.counted else replace(line, counted=False))
    return tuple(found)
