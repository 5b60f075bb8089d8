"""Which scores a patient is asked alone, screen by screen; the instruments and their words stand in
bodymaps/data/reasoning/outcomes.toml.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bodymaps.reasoning import outcomes
from bodymaps.reasoning.outcome_instruments import ACTIVITIES, CHOICE, MEMBERS, Form, Instrument
from charting.outcomes.models import OutcomeScore
from charting.outcomes.queries import earlier_scores, scores_of
from charting.visits.models import Visit
from charting.visits.queries import is_further

Answers = Mapping[str, Any]
SaidBy = OutcomeScore.SaidBy


@dataclass(frozen=True)
class ScoreScreen:
    """One rating. `member`: of which rating of the instrument, "" for the only one; `place`: of which
    activity, from 1, 0 for none; `name`: what it is called where the patient named it at an earlier visit.
    `choices`: the numbers with words, "" where a number stands alone. `low`, `high`: words at the two ends.
    `names`: it is named on this screen. `more`: it comes only when it is asked for.
    """

    id: str
    instrument: str
    form: str
    ask: str
    choices: tuple[tuple[int, str], ...]
    low: str = ""
    high: str = ""
    member: str = ""
    place: int = 0
    name: str = ""
    more: bool = False
    most: int = 0
    longest: int = 0
    named_before: tuple[str, ...] = ()

    @property
    def names(self) -> bool:
        return self.place > 0 and not self.name

    @property
    def next_place(self) -> str:
        """The id of the screen of one more activity."""
        return f"{self.instrument}-{self.place + 1}"


def screens_of(visit: Visit) -> tuple[ScoreScreen, ...]:
    """What is asked of this person now. An instrument that the clinician has recorded in this visit already
    is not asked again. Three queries.
    """
    by_others = {row.instrument for row in scores_of(visit) if row.said_by != SaidBy.PATIENT}
    earlier, further = earlier_scores(visit), is_further(visit)
    found: list[ScoreScreen] = []
    for instrument in outcomes.instruments().values():
        if instrument.alone and instrument.id not in by_others:
            found += _screens(instrument, further, _named_before(instrument, earlier))
    return tuple(found)


def _named_before(instrument: Instrument, earlier: tuple[OutcomeScore, ...]) -> tuple[str, ...]:
    """The activities of the last visit that had any."""
    rows = [row for row in earlier if row.instrument == instrument.id]
    named = rows[-1].answers.get("activities", []) if rows else []
    return tuple(str(one["name"]) for one in named)


def _screens(instrument: Instrument, further: bool, named: tuple[str, ...]) -> list[ScoreScreen]:
    if instrument.way == MEMBERS:
        return [_of_member(instrument, index) for index, each in enumerate(instrument.members) if each.ask]
    if instrument.way == ACTIVITIES:
        return _of_activities(instrument, named)
    forms = [form for form in instrument.forms if form.alone]
    # A judgement of change since the first visit: only once there was one.
    return [_of_form(instrument, forms[0])] if instrument.way == CHOICE and forms and further else []


def _of_member(instrument: Instrument, index: int) -> ScoreScreen:
    member = instrument.members[index]
    return ScoreScreen(
        id=f"{instrument.id}-{member.id}",
        instrument=instrument.id,
        form="",
        ask=member.ask,
        choices=_row(instrument),
        low=member.low,
        high=member.high,
        member=member.id,
    )


def _of_activities(instrument: Instrument, named: tuple[str, ...]) -> list[ScoreScreen]:
    told = instrument.activities
    if told is None:
        return []
    at_least = max(told.fewest, len(named))
    return [
        ScoreScreen(
            id=f"{instrument.id}-{place}",
            instrument=instrument.id,
            form="",
            ask=told.rate if place <= len(named) else told.ask,
            choices=_row(instrument),
            low=told.low,
            high=told.high,
            place=place,
            name=named[place - 1] if place <= len(named) else "",
            more=place > at_least,
            most=told.most,
            longest=told.longest,
            named_before=named,
        )
        for place in range(1, told.most + 1)
    ]


def _of_form(instrument: Instrument, form: Form) -> ScoreScreen:
    return ScoreScreen(
        id=instrument.id, instrument=instrument.id, form=form.id, ask=form.ask, choices=form.choices
    )


def _row(instrument: Instrument) -> tuple[tuple[int, str], ...]:
    return tuple((number, "") for number in range(int(instrument.low), int(instrument.high) + 1))
