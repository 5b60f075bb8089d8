"""What the page of scores may use."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, NamedTuple

from bodymaps.reasoning import outcomes
from bodymaps.reasoning.outcomes import Instrument
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of
from charting.outcomes import forms, rows
from charting.outcomes.forms import Typed
from charting.outcomes.models import OutcomeScore
from charting.outcomes.queries import earlier_scores, parts_of, scores_of
from charting.outcomes.services import draft_key
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write

# (where, on record now, typed by you), after two saves at once.
Clashes = tuple[tuple[str, str, str], ...]


class Option(NamedTuple):
    """One number to tap; `words` beside it, "" mostly."""

    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True)
class Rating:
    """One row of numbers. `name`: of the activity, where it has one (`name_field`). `last`: what it was."""

    field: str
    title: str
    options: tuple[Option, ...]
    last: str
    error: str
    name_field: str = ""
    name: str = ""
    name_error: str = ""

    @property
    def is_chosen(self) -> bool:
        return any(option.is_chosen for option in self.options)


@dataclass(frozen=True)
class TotalField:
    field: str
    title: str
    value: str
    error: str


@dataclass(frozen=True)
class Card:
    """One instrument. `row`: its score on record as plain data (charting.outcomes.rows), None without one.
    `last`: the score of the last visit before, and when it was.
    """

    instrument: Instrument
    version: int
    ratings: tuple[Rating, ...]
    totals: tuple[TotalField, ...]
    row: Mapping[str, Any] | None
    last: str
    last_when: datetime | None
    is_carried: bool = False

    @property
    def is_used(self) -> bool:
        return self.row is not None or self.last_when is not None

    @property
    def is_wrong(self) -> bool:
        errors = [one.error for one in self.totals]
        errors += [words for one in self.ratings for words in (one.error, one.name_error)]
        return any(errors)


@dataclass(frozen=True)
class OutcomesPage:
    """`first`: what fits the drawing or is in use; `more`: the others."""

    first: tuple[Card, ...]
    more: tuple[Card, ...]
    typed: Typed
    may_write: bool
    draft_key: str
    draft: Draft | None = None
    clashes: Clashes = field(default=())

    @property
    def recorded(self) -> tuple[Card, ...]:
        return tuple(card for card in (*self.first, *self.more) if card.row)

    @property
    def opens_more(self) -> bool:
        return any(card.is_wrong for card in self.more)


@dataclass(frozen=True)
class Known:
    """What is read once for the page. `earlier`: scores before this visit, earliest first."""

    rows: tuple[OutcomeScore, ...]
    earlier: tuple[OutcomeScore, ...]
    parts: frozenset[str]

    def last(self, instrument: str) -> OutcomeScore | None:
        return next((row for row in reversed(self.earlier) if row.instrument == instrument), None)

    @property
    def carried(self) -> tuple[str, ...]:
        """The activities of the last visit that named some."""
        row = self.last("psfs")
        return tuple(one["name"] for one in row.answers.get("activities", ())) if row else ()


def known_of(visit: Visit) -> Known:
    return Known(scores_of(visit), earlier_scores(visit), parts_of(visit))


def outcomes_page(visit: Visit, user: User, known: Known) -> OutcomesPage:
    """What is on record, or what was typed and not saved."""
    draft = draft_of(user, draft_key(visit)) if may_write(user, visit) else None
    typed = (
        forms.read(as_form_data(draft), known.carried)
        if draft
        else forms.on_record(known.rows, known.carried)
    )
    return page_with(visit, user, known, typed, draft=draft)


def page_with(
    visit: Visit,
    user: User,
    known: Known,
    typed: Typed,
    *,
    draft: Draft | None = None,
    clashes: Clashes = (),
) -> OutcomesPage:
    recorded = {row["instrument"]: row for row in rows.rows_of(known.rows, known.earlier, known.parts)}
    cards = [_card(one, typed, known, recorded.get(one.id)) for one in outcomes.instruments().values()]
    first = _first(cards, known)
    return OutcomesPage(
        first=tuple(first),
        more=tuple(card for card in cards if card not in first),
        typed=typed,
        may_write=may_write(user, visit),
        draft_key=draft_key(visit),
        draft=draft,
        clashes=clashes,
    )


def clashes_of(typed: Typed, current: Sequence[OutcomeScore]) -> Clashes:
    """Where what is on record now differs from what was typed."""
    now = {row.instrument: row for row in current}
    found = []
    for given in typed.scores():
        row, of = now.get(given.instrument), outcomes.instruments()[given.instrument]
        theirs = outcomes.score(of, row.answers, row.form).shown if row else ""
        yours = outcomes.score(of, given.answers, given.form).shown if given.answers else ""
        if theirs != yours:
            found.append((of.name, theirs, yours))
    return tuple(found)


def _first(cards: Sequence[Card], known: Known) -> list[Card]:
    """What is in use or typed into, and what fits: of two made for the same parts of the body the first,
    and what tells of change from the second visit on.
    """
    found: list[Card] = []
    places: list[tuple[str, ...]] = []
    for card in cards:
        of = card.instrument
        is_new = not of.parts or of.parts not in places
        fits = of.fits(known.parts) and is_new and (of.way != "choice" or bool(known.earlier))
        if card.is_used or card.is_wrong or fits:
            found.append(card)
            places.append(of.parts)
    return found


def _card(of: Instrument, typed: Typed, known: Known, row: Mapping[str, Any] | None) -> Card:
    before = known.last(of.id)
    score = outcomes.score(of, before.answers, before.form) if before else None
    last = {line.id: str(line.value) for line in score.lines} if score else {}
    return Card(
        instrument=of,
        version=typed.versions.get(of.id, 0),
        ratings=_ratings(of, typed, last),
        totals=_totals(of, typed),
        row=row,
        last=score.shown if score else "",
        last_when=before.visit.started_at if before else None,
        is_carried=bool(of.activities and known.carried and row is None),
    )


def _ratings(of: Instrument, typed: Typed, last: Mapping[str, str]) -> tuple[Rating, ...]:
    if of.activities:
        return tuple(_activity(of, typed, slot, last) for slot in range(1, of.activities.most + 1))
    if of.forms:
        return tuple(_numbering(of, typed, form) for form in of.forms)
    scale = [(str(number), "") for number in range(int(of.low), int(of.high) + 1)]
    return tuple(
        _rating(typed, f"{of.id}_{one.id}", one.title, scale, last.get(one.id, "")) for one in of.members
    )


def _numbering(of: Instrument, typed: Typed, form: outcomes.Form) -> Rating:
    scale = [(str(number), words) for number, words in form.choices]
    return _rating(typed, f"{of.id}_{form.id}", form.title, scale, "")


def _activity(of: Instrument, typed: Typed, slot: int, last: Mapping[str, str]) -> Rating:
    name_field = f"{of.id}_name_{slot}"
    name = typed.values.get(name_field, "")
    scale = [(str(number), "") for number in range(int(of.low), int(of.high) + 1)]
    was = last.get(outcomes.same_name(name), "")
    rating = _rating(typed, f"{of.id}_value_{slot}", name or f"Activity {slot}", scale, was)
    named = {"name_field": name_field, "name": name, "name_error": typed.problem_of(name_field)}
    return Rating(rating.field, rating.title, rating.options, rating.last, rating.error, **named)


def _rating(typed: Typed, name: str, title: str, scale: Collection[tuple[str, str]], last: str) -> Rating:
    chosen = typed.values.get(name, "")
    options = tuple(Option(value, words, value == chosen) for value, words in scale)
    return Rating(name, title, options, last, typed.problem_of(name))


def _totals(of: Instrument, typed: Typed) -> tuple[TotalField, ...]:
    if of.total is None:
        return ()
    titles = {"sum": "Sum of the items", "answered": f"Items answered, of {of.total.items}"}
    return tuple(
        TotalField(name, title, typed.values.get(name, ""), typed.problem_of(name))
        for name, title in ((f"{of.id}_{part}", title) for part, title in titles.items())
    )
