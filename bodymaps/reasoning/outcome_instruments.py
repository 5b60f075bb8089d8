"""What an instrument of outcome is made of: how it is answered and scored, its bands, what is published of
its change. Each stands in data/reasoning/outcomes.toml, read by bodymaps.reasoning.outcomes_file.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

# How an instrument is answered. MEMBERS: some of several ratings, each a measure of its own; ACTIVITIES:
# named by the patient; MEAN: every member is needed; CHOICE: one number; TOTAL: a sum of a filled-in form.
MEMBERS, ACTIVITIES, MEAN, CHOICE, TOTAL = "members", "activities", "mean", "choice", "total"
WAYS = (MEMBERS, ACTIVITIES, MEAN, CHOICE, TOTAL)
LOWER, HIGHER = "lower", "higher"
IMPORTANT, DETECTABLE = "important", "detectable"
# A rule for a single activity.
ONE = "one"
POINTS, PERCENT, OF_HUNDRED = "points", "percent", "percentage points"
UNITS = (POINTS, PERCENT, OF_HUNDRED)
LEVELS = ("90 %", "95 %", "not stated", "")
STATUSES = ("checked", "from memory", "common practice")
LICENSED = "licensed: totals only"


@dataclass(frozen=True)
class Cited:
    """A sentence, and who says so."""

    words: str
    source: str
    status: str


@dataclass(frozen=True)
class Rule:
    """A published change. `size` in `unit`: POINTS of the score, PERCENT of the first score, or OF_HUNDRED,
    points of a score brought to 0 to 100. `lower`: the smaller end where a span is printed, else as `size`.
    `confidence`: "90 %", "95 %", "not stated"; "" for an important change, which has none. `label`: which
    grade of change ("moderate"), "" mostly. `parts`: parts of the body it was found for, () for any. `of`:
    "one" for a single activity, else "".
    """

    kind: str
    size: float
    lower: float
    unit: str
    confidence: str
    population: str
    source: str
    status: str
    label: str = ""
    parts: tuple[str, ...] = ()
    of: str = ""

    def fits(self, parts: Collection[str]) -> bool:
        return not self.parts or bool(set(self.parts) & set(parts))


@dataclass(frozen=True)
class Band:
    """Scores up to and including `upto`, and above the band before."""

    upto: float
    words: str


@dataclass(frozen=True)
class Bands:
    bands: tuple[Band, ...]
    source: str
    status: str
    remark: str

    def word_for(self, value: float) -> str:
        return next((band.words for band in self.bands if round(value, 9) <= band.upto), "")


@dataclass(frozen=True)
class Member:
    """One rating. `title` is for the clinician; `ask`, `low` and `high` are our own words for the patient,
    "" where it is not asked alone.
    """

    id: str
    title: str
    ask: str = ""
    low: str = ""
    high: str = ""


@dataclass(frozen=True)
class Form:
    """One numbering of an instrument that has several. `choices`: (number, words); words may be "".
    `same`: the number for no change. `much`: from this number on, towards better, it counts as much better.
    """

    id: str
    title: str
    low: int
    high: int
    better: str
    alone: bool
    ask: str
    choices: tuple[tuple[int, str], ...]
    same: int
    much: int
    source: str
    status: str


@dataclass(frozen=True)
class Total:
    """A sum over `items`, each from `item_low` to `item_high`; at least `least` answered, and from fewer
    than `wary` on a word of caution.
    """

    items: int
    item_low: int
    item_high: int
    least: int
    wary: int


@dataclass(frozen=True)
class Activities:
    """Things the patient names (`ask`) and rates (`rate`, ends `low` and `high`), in our own words."""

    fewest: int
    most: int
    longest: int
    ask: str
    rate: str
    low: str
    high: str


@dataclass(frozen=True)
class Instrument:
    """`low` and `high` are the ends of the score. `parts`: parts of the body (bodymaps.parts) it was made
    for, () for any. `alone`: whether a patient may answer it alone on a device, in our own words; else
    `why_not_alone`.
    """

    id: str
    name: str
    about: str
    way: str
    low: float
    high: float
    better: str
    unit: str
    licence: str
    alone: bool
    why_not_alone: str
    parts: tuple[str, ...]
    members: tuple[Member, ...]
    forms: tuple[Form, ...]
    activities: Activities | None
    total: Total | None
    scoring: tuple[Cited, ...]
    bands: Bands | None
    rules: tuple[Rule, ...]
    notes: tuple[Cited, ...]

    @property
    def is_licensed(self) -> bool:
        return self.licence == LICENSED

    def form(self, name: str) -> Form | None:
        return next((form for form in self.forms if form.id == name), None)

    def fits(self, parts: Collection[str]) -> bool:
        """Whether it was made for any of these parts of the body."""
        return not self.parts or bool(set(self.parts) & set(parts))

    def of_kind(self, kind: str, of: str = "") -> tuple[Rule, ...]:
        return tuple(rule for rule in self.rules if rule.kind == kind and rule.of == of)


@dataclass(frozen=True)
class Outcomes:
    """Instruments by id, in the order they are asked."""

    version: str
    instruments: Mapping[str, Instrument]
