"""What stands with a person whose two records were made one: whose rows count, and where they disagree."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.db.models import F, QuerySet
from django.db.models.functions import Coalesce

from charting.history.models import StandingFact
from charting.patients.models import Patient
from charting.patients.queries import of_person_or_visit
from charting.visits.models import Visit

# The graver first: what two records disagree about is taken to be so until somebody asked again.
GRAVER = ("yes", "unsure", "no")


def rows_of(person: Patient) -> list[StandingFact]:
    """Every confirmation about a person in the order they were made: rows follow their visit. One query."""
    return list(_marked(_rows(person)))


def known_in(visit: Visit) -> list[StandingFact]:
    """Those that were known when the visit was signed; all of them while it is open. One query, and one more
    for a visit whose record was merged.
    """
    rows, signed = rows_of(visit.patient), visit.signed_at
    if not signed:
        return rows
    before = [row for row in rows if row.confirmed_at <= signed]
    if visit.made_under and visit.made_under.merged_at and visit.made_under.merged_at > signed:
        return [row for row in before if row.patient_id == visit.made_under_id]
    return [row for row in before if row.merged_at is None or row.merged_at <= signed]


def _rows(person: Patient) -> QuerySet[StandingFact, Any]:
    rows = StandingFact.objects.filter(of_person_or_visit(person)).order_by("confirmed_at", "pk")
    until = Coalesce("visit__patient__doubted_at", "patient__doubted_at")
    return rows.annotate(since=F("patient__merged_at"), doubted_until=until)


def _marked(rows: Iterable[Any]) -> Iterator[StandingFact]:
    for row in rows:
        row.merged_at = row.since
        row.is_doubted = row.doubted_until is not None and row.confirmed_at <= row.doubted_until
        yield row


def differing(facts: Sequence[StandingFact], names: Sequence[StandingFact]) -> tuple[StandingFact, ...]:
    """What each record last said of one fact, the gravest first, where they disagree and nobody has confirmed
    it since they were merged; else nothing. `names`: the rows that say which one it is.
    """
    merged = [row.merged_at for row in facts if row.merged_at]
    if not merged or any(row.confirmed_at > max(merged) for row in facts):
        return ()
    last = {row.patient_id: row for row in facts}
    said = {(str(row.value), str(which_of(row, names))): row for row in last.values()}
    if len(said) < 2:
        return ()
    newest_first = sorted(said.values(), key=lambda row: row.confirmed_at, reverse=True)
    return tuple(sorted(newest_first, key=lambda row: GRAVER.index(str(row.value))))


def row_beside(fact: StandingFact, names: Sequence[StandingFact]) -> StandingFact | None:
    """The row of the same visit that says which one it is."""
    return next((row for row in reversed(names) if row.visit_id == fact.visit_id), None)


def which_of(fact: StandingFact, names: Sequence[StandingFact]) -> Any:
    beside = row_beside(fact, names)
    return beside.value if beside and fact.value != "no" else None
