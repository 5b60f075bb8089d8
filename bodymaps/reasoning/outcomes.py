"""How the patient fares: scores, their change, and the shape of a measure over time. The way in to
the modules outcome_instruments (what an instrument is), outcomes_file, _score, _change and _words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from bodymaps.reasoning.outcome_instruments import Band, Form, Instrument, Rule
from bodymaps.reasoning.outcomes_change import Change, Judged, change, judge
from bodymaps.reasoning.outcomes_file import OutcomesError, load
from bodymaps.reasoning.outcomes_score import Answers, Line, Score, same_name, score, wrong_in

__all__ = [
    "Answers", "Band", "Change", "Form", "Instrument", "Judged", "Line", "OutcomesError", "Point", "Rule",
    "Score", "Series", "change", "instruments", "judge", "load", "same_name", "score", "wrong_in",
]  # fmt: skip


def instruments() -> Mapping[str, Instrument]:
    """By id, in the order they are asked."""
    return load().instruments


class Point(NamedTuple):
    """One value of one visit, and how it is read ("17.8 of 50 (35.6 %)")."""

    visit_id: UUID
    when: datetime
    value: float
    words: str


@dataclass(frozen=True)
class Series:
    """One measure over time, earliest first. `low` and `high`: ends of its scale, None where it has none.
    `better`: "lower", "higher", "" where neither is. `change`: from the first to the last that can be
    compared. `bands`: published bands of severity.
    """

    id: str
    label: str
    unit: str
    low: float | None
    high: float | None
    better: str
    points: tuple[Point, ...]
    change: Change | None = None
    bands: tuple[Band, ...] = ()
