"""Signed drawings as coarse cells, kept for counting many of them: written at signing, and afterwards for the
visits that were signed before there were cells.
"""

from collections.abc import Iterable

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet

from bodymaps import coarse
from bodymaps.marks import Mark
from charting.drawing.among import painted_among
from charting.drawing.models import DrawnCells
from charting.visits.models import Visit


@transaction.atomic
def keep_cells(visits: Iterable[Visit]) -> None:
    """Write the cells of signed visits anew: derived from a drawing that never changes again, so any number
    of times gives the same rows. Some hundredths of a second for each drawing.
    """
    known = tuple(visits)
    painted = painted_among(known)
    DrawnCells.objects.filter(visit__in=[visit.pk for visit in known]).delete()
    DrawnCells.objects.bulk_create(row for visit in known for row in _rows(visit, painted[visit.pk].marks))


def without_cells(visits: QuerySet[Visit]) -> QuerySet[Visit]:
    """Those among signed visits that have no cells of this figure and its parts yet."""
    kept = DrawnCells.objects.filter(
        visit=OuterRef("pk"), view=coarse.PARTS, kind=coarse.ANY_KIND, figure=coarse.version()
    )
    return visits.filter(~Exists(kept), signed_at__isnull=False)


def _rows(visit: Visit, marks: Iterable[Mark]) -> list[DrawnCells]:
    return [
        DrawnCells(
            visit=visit,
            view=view,
            kind=kind,
            figure=coarse.version(),
            cell_mm=coarse.CELL_MM,
            cells=cells,
        )
        for (view, kind), cells in coarse.rows(marks).items()
    ]
