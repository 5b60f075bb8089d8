"""What to examine next, ready to be shown: see examine_next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

KINDS = MUSCLE, TEST, SCREEN = ("muscle", "test", "screen")
PUBLISHED, AREAS, PRACTICE = BASES = ("published ratio", "pattern areas", "common practice")
# Decimals of a gain in bits.
DIGITS = 3


@dataclass(frozen=True)
class Moved:
    """A candidate that an outcome moves, and its place in the order with evidence before and after."""

    layer: str
    id: str
    name: str
    side: str
    place_before: int
    place_after: int


@dataclass(frozen=True)
class Outcome:
    """What one result of a finding would change: `words` is the result, `change` a sentence, `moved` the
    leading candidates it moves, most first, `first` who would then stand first, `changes_first` whether that
    is somebody else than now.
    """

    words: str
    change: str
    moved: tuple[Moved, ...]
    first: Moved
    changes_first: bool

    def as_json(self) -> dict[str, Any]:
        first = self.first
        return {
            "if": self.words,
            "change": self.change,
            "first": {"layer": first.layer, "id": first.id, "side": first.side, "name": first.name},
        }


@dataclass(frozen=True)
class Proposal:
    """One finding that would separate the leading candidates.

    `kind` is one of KINDS. `id`: of a muscle, the key of a finding, or of a screen ("neuro:arm",
    "exclude"). `site`: of a muscle, "" when it is the muscle as a whole. `why`: a sentence
    each. `separates`: names of candidates, those it speaks for first. `basis`: one of BASES. `gain`: what it
    is expected to tell beside the proposals before it, in bits, rounded; 0 for what is to be excluded first.
    `caution`: when a test must not be done, or how it is kept safe, "" mostly.
    """

    kind: str
    id: str
    side: str
    site: str
    title: str
    why: tuple[str, ...]
    separates: tuple[str, ...]
    basis: str
    source: str
    status: str
    gain: float
    outcomes: tuple[Outcome, ...]
    caution: str = ""

    def as_json(self) -> dict[str, Any]:
        return {
            "what": {"kind": self.kind, "id": self.id, "side": self.side, "site": self.site},
            "title": self.title,
            "why": list(self.why),
            "caution": self.caution,
            "separates": list(self.separates),
            "basis": self.basis,
            "source": self.source,
            "status": self.status,
            "gain": self.gain,
            "expected_change": [outcome.as_json() for outcome in self.outcomes],
        }
