"""One finding that could be made next, before it is chosen: how likely it is with each candidate, what it
would change, and how it is told.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bodymaps import words
from bodymaps.reasoning.evidence import Judged
from bodymaps.reasoning.gain import Shares
from bodymaps.reasoning.implied import NOTHING
from bodymaps.reasoning.own_areas import Sided
from bodymaps.reasoning.proposal import DIGITS, Moved, Outcome, Proposal
from bodymaps.reasoning.standing import Change, Standing, sided

# A sentence names at most this many candidates, the others are counted.
NAMED = 3

# What is examined: kind, id and side.
What = tuple[str, str, str]


@dataclass(frozen=True)
class Result:
    """One result of a finding, in words, and what it changes."""

    words: str
    change: Change


@dataclass(frozen=True)
class Told:
    """What is said of a finding; the members are those of a Proposal. `results`: the positive one first."""

    title: str
    why: tuple[str, ...]
    basis: str
    source: str
    status: str
    results: tuple[Result, ...]
    site: str = ""
    caution: str = ""


@dataclass(frozen=True)
class Possible:
    """`positive`: P(positive | candidate), in the order of the leading ones. `stands_for`: what it would add
    a line about; when others have been chosen that add all of these, it adds nothing. `instead`: what makes
    it unneeded when chosen. `tell`: what is said of it, which takes some work.
    """

    kind: str
    id: str
    side: str
    positive: Shares
    tell: Callable[[], Told]
    stands_for: frozenset[object] = frozenset()
    instead: frozenset[What] = frozenset()

    @property
    def what(self) -> What:
        return (self.kind, self.id, self.side)

    def adds_to(self, chosen: Sequence[Possible]) -> bool:
        """Whether it is worth while beside those chosen."""
        if any(one.what in self.instead for one in chosen):
            return False
        taken = frozenset[object]().union(*(one.stands_for for one in chosen))
        return not self.stands_for or not self.stands_for <= taken


def proposal(one: Possible, gained: float, standing: Standing) -> Proposal:
    """A chosen finding, told."""
    told = one.tell()
    return Proposal(
        kind=one.kind,
        id=one.id,
        side=one.side,
        site=told.site,
        title=words.sentence_case(told.title),
        why=told.why,
        separates=_separates(one, standing),
        basis=told.basis,
        source=told.source,
        status=told.status,
        gain=round(gained, DIGITS),
        outcomes=tuple(_outcome(result, standing) for result in told.results),
        caution=told.caution,
    )


def named(one: Judged) -> str:
    """ "Infraspinatus, right"."""
    return words.sentence_case(f"{one.name}, {one.side}")


def listed(found: Sequence[Judged]) -> str:
    """Names in a list, those beyond NAMED counted."""
    names = [one.name for one in found[:NAMED]]
    return words.listed([*names, f"{len(found) - NAMED} more"] if len(found) > NAMED else names)


def _separates(one: Possible, standing: Standing) -> tuple[str, ...]:
    """The weightiest candidates a positive result speaks for, then those it does not."""
    mean = sum(weight * share for weight, share in zip(standing.weights, one.positive, strict=True))
    pairs = list(zip(standing.leading, one.positive, strict=True))
    speaks_for = [judged for judged, share in pairs if share > mean]
    others = [judged for judged, share in pairs if share <= mean]
    return tuple(named(judged) for part in (speaks_for, others) for judged in part[:NAMED])


def _outcome(result: Result, standing: Standing) -> Outcome:
    after = standing.after(result.change)
    place = {sided(one): number for number, (one, _) in enumerate(after, 1)}
    leading = {sided(one) for one in standing.leading}
    found = [
        (then - one.total, _place(one, place))
        for one, then in after
        if abs(then - one.total) > NOTHING and sided(one) in leading
    ]
    found.sort(key=_most_first)
    first = _place(after[0][0], place)
    return Outcome(
        words=result.words,
        change=_sentence(found, first),
        moved=tuple(moved for _, moved in found),
        first=first,
        changes_first=first.place_before != 1,
    )


def _most_first(pair: tuple[float, Moved]) -> tuple[float, bool, int]:
    """By how much it moves; of those that move alike whose place changes, then by their place now."""
    by, moved = pair
    return -round(abs(by), DIGITS), moved.place_before == moved.place_after, moved.place_before


def _place(one: Judged, place: dict[Sided, int]) -> Moved:
    return Moved(one.layer, one.id, one.name, one.side, one.place, place[sided(one)])


def _sentence(found: Sequence[tuple[float, Moved]], first: Moved) -> str:
    """ "Infraspinatus, right, rises from place 3 to 1; C6 nerve root, right, falls ..."."""
    if not found:
        return "Changes nothing in the order."
    said = [_step(by, moved) for by, moved in found[:NAMED]]
    if len(found) > NAMED:
        said.append(f"{len(found) - NAMED} more move")
    if first.place_before != 1 and first not in [moved for _, moved in found[:NAMED]]:
        said.append(f"{first.name}, {first.side}, comes first")
    return f"{words.sentence_case('; '.join(said))}."


def _step(by: float, moved: Moved) -> str:
    who = f"{moved.name}, {moved.side},"
    if moved.place_before == moved.place_after:
        return f"{who} {'gains' if by > 0 else 'loses'} and stays at place {moved.place_after}"
    way = "rises" if moved.place_after < moved.place_before else "falls"
    return f"{who} {way} from place {moved.place_before} to {moved.place_after}"
