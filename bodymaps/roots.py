"""Hold the burning, shooting, tingling and numb parts of a drawing against the skin of the nerve roots.

A reminder to examine, never more: most proven root pain does not follow its dermatome (see
data/ranking.toml).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bodymaps import kinds, words
from bodymaps.atlas import Atlas
from bodymaps.candidates import DERMATOME
from bodymaps.counted import COMPARED, Counted
from bodymaps.marks import Mark


@dataclass(frozen=True)
class RootMatch:
    """A root to consider: `share` (0..1) of the nerve-like part of the drawing lies in its skin, `score` is
    how alike the two are, as for a muscle.
    """

    root: str
    side: str
    share: float
    words: str
    score: float = 0.0
    reasons: tuple[str, ...] = ()


def nerve_like(pain: Sequence[Mark]) -> list[Mark]:
    """The marks whose kind is typical of nerves."""
    return [mark for mark in pain if kinds.kind(mark.kind).nerve]


def consider(
    marks: Sequence[Mark], nerve: Counted, atlas: Atlas, from_share: float
) -> tuple[tuple[RootMatch, ...], tuple[str, ...]]:
    """The roots that hold at least `from_share` of the nerve-like drawing, largest first; and notices.

    `marks` are the nerve-like ones, `nerve` is what they share with the atlas.
    """
    labels = words.listed(
        [kind.label.lower() for kind in kinds.load() if any(mark.kind == kind.id for mark in marks)]
    )
    numbers = [number for number in nerve.best(DERMATOME) if nerve.explained[number] >= from_share]
    numbers.sort(key=lambda number: -round(float(nerve.explained[number]), COMPARED))
    found = tuple(_root(nerve, number, labels) for number in numbers)
    every = [number for number, one in enumerate(nerve.index.candidates) if one.layer == DERMATOME]
    inside = float(nerve.covered(every).any(axis=0).mean()) if every else 1.0
    return found, _silence(inside, atlas, labels)


def _root(nerve: Counted, number: int, labels: str) -> RootMatch:
    one, share = nerve.one(number), float(nerve.explained[number])
    name = words.root(one.id)
    return RootMatch(
        root=one.id,
        side=one.side,
        share=share,
        words=(
            f"Consider a nerve root ({one.side} {name}): examine before needling. "
            f"{words.percent(share)} of the {labels} lies in its skin area."
        ),
        score=float(nerve.scores[number]),
        reasons=(
            f"holds {words.percent(share)} of the {labels}",
            f"{words.percent(float(nerve.coverage[number]))} of its skin area is drawn so",
        ),
    )


def _silence(inside: float, atlas: Atlas, labels: str) -> tuple[str, ...]:
    if inside >= 0.5 or not atlas.dermatomes:
        return ()
    first, last = (words.root(root) for root in (list(atlas.dermatomes)[0], list(atlas.dermatomes)[-1]))
    return (
        f"Most of the {labels} lies outside the skin areas of the roots {first} to {last}. "
        "Think of single nerves, in the face of the trigeminal nerve, and examine.",
    )
