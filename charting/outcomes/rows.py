"""The scores of a visit as plain data: for the note, which keeps them as they stood, and for the page."""

from collections.abc import Collection, Sequence
from typing import Any

from bodymaps.reasoning import outcomes
from bodymaps.reasoning.outcomes import Change, Instrument, Judged
from charting.outcomes.models import OutcomeScore
from charting.outcomes.queries import earlier_scores, parts_of, scores_of
from charting.visits.models import Visit

FIRST, LAST = "first", "last"


def outcome_rows(visit: Visit, parts: Collection[str] | None = None) -> list[dict[str, Any]]:
    """Each instrument with a score in this visit, in the order they are asked:

    instrument, name, form, form_title, version (of the rules), said_by, value, score (as it is read), band,
    why_not, detail, licence, lines ({title, value, band}), changes (as `change_row`, since the first and
    since the last visit that can be compared, one where they are the same), notes ({words, source, status}).
    """
    where = parts_of(visit) if parts is None else parts
    return rows_of(scores_of(visit), earlier_scores(visit), where)


def rows_of(
    scores: Sequence[OutcomeScore], earlier: Sequence[OutcomeScore], parts: Collection[str]
) -> list[dict[str, Any]]:
    """The same from what is read already. No query."""
    known, rows = outcomes.instruments(), {row.instrument: row for row in scores}
    return [_row(known[name], rows[name], earlier, parts) for name in known if name in rows]


def _row(
    of: Instrument, row: OutcomeScore, earlier: Sequence[OutcomeScore], parts: Collection[str]
) -> dict[str, Any]:
    score, form = outcomes.score(of, row.answers, row.form), of.form(row.form)
    return {
        "instrument": of.id,
        "name": of.name,
        "form": row.form,
        "form_title": form.title if form else "",
        "version": outcomes.load().version,
        "said_by": row.get_said_by_display(),
        "value": score.value,
        "score": score.shown,
        "band": score.band,
        "why_not": score.why_not,
        "detail": score.detail,
        "licence": of.licence,
        "lines": [{"title": line.title, "value": line.value, "band": line.band} for line in score.lines],
        "changes": changes_since(of, row, earlier, parts),
        "notes": [{"words": one.words, "source": one.source, "status": one.status} for one in of.notes],
    }


def changes_since(
    of: Instrument, row: OutcomeScore, earlier: Sequence[OutcomeScore], parts: Collection[str]
) -> list[dict[str, Any]]:
    """Since the first visit with a score of this instrument, and since the last one before this."""
    mine = [one for one in earlier if one.instrument == of.id and _can_be_held(of, one, row)]
    if not mine:
        return []
    chosen = [(FIRST, mine[0])] if len(mine) == 1 else [(FIRST, mine[0]), (LAST, mine[-1])]
    return [
        change_row(since, one, outcomes.change(of, one.answers, row.answers, row.form, parts=parts))
        for since, one in chosen
    ]


def change_row(since: str, before: OutcomeScore, change: Change) -> dict[str, Any]:
    """since ("first", "last"), when (day of that visit), before (that score as it is read), points, percent,
    percent_shown, direction, verdict, within_error, words, parts ({title, before, after, points, verdict,
    meaning}), left_out, rules (as `rule_row`, those found for this part of the body first).
    """
    return {
        "since": since,
        "when": before.visit.started_at.isoformat(),
        "before": outcomes.score(before.instrument, before.answers, before.form).shown,
        "points": change.points,
        "percent": change.percent,
        "percent_shown": change.percent_shown,
        "direction": change.direction,
        "verdict": change.verdict,
        "within_error": change.within_error,
        "words": change.words,
        "parts": [one._asdict() for one in change.parts],
        "left_out": list(change.left_out),
        "rules": [rule_row(one) for one in sorted(change.judged, key=lambda one: not one.fits)],
    }


def rule_row(one: Judged) -> dict[str, Any]:
    rule = one.rule
    return {
        "kind": rule.kind,
        "words": one.words,
        "met": one.met,
        "fits": one.fits,
        "confidence": rule.confidence,
        "population": rule.population,
        "source": rule.source,
        "status": rule.status,
    }


def _can_be_held(of: Instrument, earlier: OutcomeScore, row: OutcomeScore) -> bool:
    """A judgement of change is held against none, and a score that could not be made against nothing."""
    return of.way != "choice" and outcomes.score(of, earlier.answers, earlier.form).value is not None
