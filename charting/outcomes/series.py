"""Scores over many visits, as measures to be plotted. One query, however many visits."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import NamedTuple

from bodymaps.reasoning import outcomes
from bodymaps.reasoning.outcomes import Change, Instrument, Point, Score, Series
from charting.outcomes.models import OutcomeScore
from charting.outcomes.queries import scores_among
from charting.visits.models import Visit


class Taken(NamedTuple):
    """One score of one visit, worked out."""

    row: OutcomeScore
    visit: Visit
    score: Score


def series_of(visits: Iterable[Visit], parts: Collection[str] = ()) -> tuple[Series, ...]:
    """Every measure that any of these visits has a score of, in the order of the instruments; each rating of
    the pain is a measure of its own, and so is each numbering of the patient's own judgement. `parts`: where
    the pain is, see bodymaps.reasoning.outcomes.change.
    """
    in_order = sorted(visits, key=lambda visit: visit.started_at)
    rows = scores_among(in_order)
    taken = [_taken(row, visit) for visit in in_order for row in rows.get(visit.pk, ())]
    return tuple(
        series
        for instrument in outcomes.instruments().values()
        for series in _of_instrument(
            instrument, [one for one in taken if one.row.instrument == instrument.id], parts
        )
    )


def _taken(row: OutcomeScore, visit: Visit) -> Taken:
    known = outcomes.instruments().get(row.instrument)
    score = outcomes.score(known, row.answers, row.form) if known else Score(None, "", why_not="unknown")
    return Taken(row, visit, score)


def _of_instrument(of: Instrument, taken: Sequence[Taken], parts: Collection[str]) -> Iterator[Series]:
    scored = [one for one in taken if one.score.value is not None]
    if of.forms:
        for form in of.forms:
            mine = [one for one in scored if one.row.form == form.id]
            if mine:
                yield _series(of, mine, f"{of.id}.{form.id}", f"{of.name}, {form.title}", form.better, parts)
    elif of.way == "members":
        for member in of.members:
            if series := _of_member(of, member.id, member.title, scored, parts):
                yield series
    elif scored:
        yield _series(of, scored, of.id, of.name, of.better, parts)


def _series(
    of: Instrument, taken: Sequence[Taken], name: str, label: str, better: str, parts: Collection[str]
) -> Series:
    points = tuple(
        Point(one.visit.pk, one.visit.started_at, one.score.value, one.score.shown)
        for one in taken
        if one.score.value is not None
    )
    change = _change(of, taken[0], taken[-1], parts) if len(taken) > 1 else None
    bands = of.bands.bands if of.bands else ()
    return Series(name, label, of.unit, of.low, of.high, better, points, change, bands)


def _of_member(
    of: Instrument, member: str, title: str, taken: Sequence[Taken], parts: Collection[str]
) -> Series | None:
    held = [(one, line.value) for one in taken for line in one.score.lines if line.id == member]
    if not held:
        return None
    points = tuple(
        Point(one.visit.pk, one.visit.started_at, value, f"{value} {of.unit}") for one, value in held
    )
    change = _change(of, held[0][0], held[-1][0], parts, member) if len(held) > 1 else None
    bands = of.bands.bands if of.bands else ()
    label = f"{of.name}, {title.lower()}"
    return Series(f"{of.id}.{member}", label, of.unit, of.low, of.high, of.better, points, change, bands)


def _change(of: Instrument, first: Taken, last: Taken, parts: Collection[str], member: str = "") -> Change:
    before, after = first.row.answers, last.row.answers
    return outcomes.change(of, before, after, last.row.form, parts=parts, member=member)
