"""Published likelihood ratios, what they belong to, and the odds that go with them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from bodymaps import words

STATUS = ("checked", "from memory", "common practice")
RESULTS = ("positive", "negative")
# Sensitivity and specificity, each 0 to 1.
Rates = tuple[float, float]


class RatiosError(ValueError):
    """The data file cannot be used; the message names file, entry and what to mend."""


@dataclass(frozen=True)
class About:
    """What tests speak about. `pretest`: key of the clinician's own estimate, "" where none is asked for and
    only ratios are said. `default`: share (0..1) in the study, None where none can be named; `whose` says
    which.
    """

    id: str
    name: str
    pretest: str
    default: float | None
    whose: str


@dataclass(frozen=True)
class Test:
    """One item: a finding, positive with one of `positive` or below a number; or, with no key, age above."""

    key: str
    positive: tuple[str, ...] = ()
    below: float | None = None
    age_above: int | None = None


@dataclass(frozen=True)
class Row:
    """A printed ratio for `least` to `most` positives. `interval`: 95 %, None where none is known. `rates`:
    as printed beside it, only shown.
    """

    least: int
    most: int
    lr: float
    says: str
    interval: tuple[float, float] | None
    limits: tuple[str, ...]
    rates: Rates | None = None


@dataclass(frozen=True)
class ClusterRule:
    id: str
    about: About
    title: str
    sided: bool
    tests: tuple[Test, ...]
    rows: tuple[Row, ...]
    no_row: str
    population: str
    limits: tuple[str, ...]
    source: str
    status: str


@dataclass(frozen=True)
class SingleRule:
    """`lr`, `says` and `intervals` by result, "positive" and "negative"; a result without an entry says
    nothing. `to_flags`: a positive one points to the danger signs. `rates`: what the ratios were computed
    from, or what is printed beside them, None where none is known.
    """

    id: str
    about: About
    test: Test
    negative: tuple[str, ...]
    lr: Mapping[str, float]
    says: Mapping[str, str]
    intervals: Mapping[str, tuple[float, float]]
    to_flags: bool
    population: str
    limits: tuple[str, ...]
    source: str
    status: str
    rates: Rates | None = None


@dataclass(frozen=True)
class Ratios:
    version: str
    about: Mapping[str, About]
    clusters: tuple[ClusterRule, ...]
    singles: tuple[SingleRule, ...]


def post_test(p: float, lr: float) -> float:
    """The likelihood after a test, from the one before (both 0 to 1) and a likelihood ratio: odds p / (1 - p)
    times the ratio, back to a share. Nothing is rounded. Raises ValueError outside 0 < p < 1 and lr > 0.
    """
    if not (0 < p < 1 and 0 < lr < math.inf):
        raise ValueError(f"a likelihood must lie between 0 and 1, a ratio above 0: {p!r}, {lr!r}")
    after = p / (1 - p) * lr
    return after / (1 + after)


def arithmetic(p: float, lr: float) -> str:
    """The same, to read: "23 % before: odds 0.302 x 6.1 = 1.840, after 65 %"."""
    after = post_test(p, lr)
    odds = p / (1 - p)
    return (
        f"{words.percent(p)} before: odds {odds:.3f} x {round(lr, 3):g} = {odds * lr:.3f}, "
        f"after {words.percent(after)}"
    )
