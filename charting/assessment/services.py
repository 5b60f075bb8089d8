"""Every write of what was concluded."""

from collections.abc import Sequence

from django.db import transaction

from charting.assessment import certainty
from charting.assessment.models import Conclusion
from charting.assessment.queries import WHOLE, place, rows_of, where_of, written_in
from charting.assessment.writing import as_lists, joined
from charting.assessment.written import ABOUT, Written
from charting.audit.services import record
from charting.drafts.services import forget
from charting.drawing.areas import ToldArea
from charting.staff.models import User
from charting.staff.rights import require
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open

LONGEST_WHERE = Conclusion._meta.get_field("where").max_length


def draft_key(visit: Visit, stroke: str) -> str:
    """`stroke`: the first of the area, "" for the visit as a whole."""
    return f"{drafts_of_visit(visit)}{stroke or 'whole'}"


def drafts_of_visit(visit: Visit) -> str:
    """How the keys of all of them begin."""
    return f"assessment:{visit.pk}:"


@transaction.atomic
def conclude(
    *,
    who: User,
    visit: Visit,
    areas: Sequence[ToldArea],
    stroke: str,
    where: str,
    version: int,
    said: Written,
) -> Conclusion:
    """Keep what was written about the area that holds `stroke` ("" is the visit as a whole). Where no area
    holds it any more it is kept as written about an area that is gone, which was called `where`.

    Raises Stale when somebody saved since `version`, ValueError for a certainty that there is not,
    VisitSigned when signed.
    """
    require(who, "treat")
    require_open(visit)
    _check(said)
    area = next((area for area in areas if stroke in area.strokes), None)
    row = _row_for(visit, areas, area, stroke)
    about = {
        "strokes": list(area.strokes) if area else [stroke] if stroke else [],
        "where": (where_of(area) if area else where)[:LONGEST_WHERE],
    }
    if row is None:
        if version:
            raise Stale(Conclusion(visit=visit, **about))
        row = Conclusion.objects.create(visit=visit, **about, **as_lists(said))
    else:
        save_if_current(row, version=version, **about, **as_lists(said))
    forget(who=who, key=draft_key(visit, stroke))
    counts = {"sources": len(said.sources), "sentences": len(said.taken)}
    record(who=who, did="concluded", what=row, visit=str(visit.pk), **counts)
    return row


@transaction.atomic
def leave_out(*, who: User, visit: Visit, row: Conclusion, version: int, out: bool) -> None:
    """Leave what was written about an area that is gone out of the note, or put it back. Raises Stale,
    VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    save_if_current(row, version=version, left_out=out)
    record(
        who=who,
        did="left out a conclusion" if out else "put back a conclusion",
        what=row,
        visit=str(visit.pk),
    )


@transaction.atomic
def move(
    *, who: User, visit: Visit, row: Conclusion, version: int, areas: Sequence[ToldArea], stroke: str
) -> None:
    """Write what stands about an area that is gone to the area that holds `stroke`, or to the visit as a
    whole with "". What is written there stays, and nothing is lost.

    Raises Stale, also when that area is gone as well; VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    area = next((area for area in areas if stroke in area.strokes), None)
    if stroke and area is None:
        raise Stale(row)
    about = {"strokes": list(area.strokes) if area else [], "where": (where_of(area) if area else "")[:200]}
    there = place(rows_of(visit), areas).by_number.get(area.number if area else WHOLE)
    if there is None:
        save_if_current(row, version=version, left_out=False, **about)
    else:
        save_if_current(row, version=version)
        both = joined(written_in(there), written_in(row))
        save_if_current(there, version=there.version, **as_lists(both))
        row.delete()
        row.pk = there.pk
    record(who=who, did="moved a conclusion", what=row, visit=str(visit.pk))


def _row_for(
    visit: Visit, areas: Sequence[ToldArea], area: ToldArea | None, stroke: str
) -> Conclusion | None:
    """The row of an area; of one that is gone, what was written about it before."""
    placed = place(rows_of(visit), areas)
    if area or not stroke:
        return placed.by_number.get(area.number if area else WHOLE)
    return next((row for row, _ in placed.loose if stroke in row.strokes), None)


def _check(said: Written) -> None:
    for source in said.sources:
        if source.certainty not in certainty.load().ids:
            raise ValueError(f"{source.name}: {source.certainty!r} is no certainty")
    for sentence in said.sentences:
        if sentence.about not in ABOUT or not sentence.text:
            raise ValueError(f"{sentence.key}: a sentence needs words, and what it is about")
