"""What the pages of a drawing may use."""

import uuid
from dataclasses import dataclass
from typing import Any

from django.templatetags.static import static
from django.urls import reverse

from bodymaps import describe, figure, kinds, parts, strokes
from charting.drawing import areas, papers, picture, queries, sources, strikes
from charting.drawing.areas import ToldArea
from charting.drawing.models import EnteredInError, SentStroke, SentWithdrawal
from charting.drawing.picture import KindPicture, ViewPicture
from charting.drawing.queries import Kept
from charting.drawing.sittings import Sitting
from charting.drawing.sources import Layer
from charting.drawing.strikes import Trace
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write


@dataclass(frozen=True)
class AreaLine:
    """One numbered area: where it is and how large, its kinds with how strong each is now, and what was said
    about it beside that.
    """

    number: int
    where: str
    size: str
    kinds: tuple[KindPicture, ...]
    facts: tuple[str, ...]


@dataclass(frozen=True)
class SheetLine:
    """One paper: its id, how it reads, who drew on it."""

    id: uuid.UUID
    words: str
    drawn_by: str


@dataclass(frozen=True)
class StepPage:
    """The drawing of a visit as it stands, layer by layer, and what was struck here or moved here.

    Each of `traces` comes with the address that undoes it, or ""; `sheets` can be copied from further.
    """

    views: tuple[ViewPicture, ...]
    key: tuple[KindPicture, ...]
    has_spot: bool
    areas: tuple[AreaLine, ...]
    layers: tuple[Layer, ...]
    cleared: tuple[str, ...]
    traces: tuple[tuple[Trace, str], ...]
    sheets: tuple[SheetLine, ...]
    is_empty: bool
    no_pain: bool
    may_write: bool


def step_page(visit: Visit, user: User) -> StepPage:
    kept = queries.kept_of(visit)
    drawing = queries.drawing_in(kept)
    told = areas.told(drawing)
    writes = may_write(user, visit)
    return StepPage(
        views=picture.views_of(told.marks, areas=told.areas, spots=told.spots),
        key=picture.key_of(told.marks, told.strengths),
        has_spot=bool(told.spots),
        areas=tuple(_area_line(area, len(told.areas)) for area in told.areas),
        layers=sources.layers_of(visit, kept, told),
        cleared=tuple(parts.part(key).label for key in told.cleared),
        traces=_traces(visit, kept, writes),
        sheets=sheet_lines(visit) if writes else (),
        is_empty=not told.marks and not told.spots,
        no_pain=drawing.no_pain,
        may_write=writes,
    )


def _area_line(area: ToldArea, of: int) -> AreaLine:
    return AreaLine(
        number=area.number,
        where=area.where,
        size=describe.size(area.marks),
        kinds=picture.key_of(area.marks, area.answers.now),
        facts=areas.facts(area, of),
    )


def _traces(visit: Visit, kept: Kept, writes: bool) -> tuple[tuple[Trace, str], ...]:
    """Each line about a drawing struck or moved here, with the address that undoes it, or ""."""
    lines = strikes.traces(visit, kept.strikes)
    return tuple(
        (line, _undone_at(visit, strike, kept) if writes else "")
        for line, strike in zip(lines, kept.strikes, strict=True)
    )


def _undone_at(visit: Visit, strike: EnteredInError, kept: Kept) -> str:
    if strike.visit_id != visit.pk:
        still_counts = bool(kept.ids & strikes.arrived_with(strike))
        return f"{reverse('drawing-move', args=[visit.pk])}?back={strike.pk}" if still_counts else ""
    if strike.moved_to_id is None and not strikes.brought_back(strike):
        return reverse("drawing-struck", args=[visit.pk, strike.pk])
    return ""


def sheet_lines(visit: Visit) -> tuple[SheetLine, ...]:
    """The papers from which more can be copied."""
    open_sheets = (sheet for sheet in queries.sheets_of(visit) if not queries.is_struck(sheet))
    return tuple(SheetLine(sheet.pk, papers.on_paper(sheet), papers.drawn_by(sheet)) for sheet in open_sheets)


def board_data(visit: Visit, sitting: Sitting, *, csrf: str) -> dict[str, Any]:
    """Everything the board's script needs, as plain JSON: the figure, the kinds, what was drawn so far."""
    kept = queries.kept_of(visit)
    drawing = queries.drawing_in(kept)
    return {
        **of_any_board(),
        "kinds": [kind for kind in kinds.as_json() if kind["id"] in {own.id for own in sitting.kinds}],
        "all_kinds": kinds.as_json(),
        "strokes": [stroke_json(row, layer=row.drawn_by, own=sitting.owns(row)) for row in kept.strokes],
        "withdrawals": [withdrawal_json(row, own=sitting.owns(row)) for row in kept.withdrawals],
        "answer": {"intensities": drawing.intensities, "no_pain": drawing.no_pain},
        "next_seq": kept.last_seq + 1,
        "urls": sitting.urls,
        "device": sitting.device,
        "csrf": csrf,
        "who": "patient" if sitting.by_patient else "staff",
        "layer": str(sitting.layer),
        "heading": _heading(visit, sitting),
        "place": sitting.place,
    }


def of_any_board() -> dict[str, Any]:
    """What the script needs whatever is drawn: the figure, its parts, the limits of a drawing."""
    return {
        "figure": {view: _view(view) for view in ("front", "back")},
        "limits": strokes.LIMITS.as_json(),
        "body": parts.as_json(),
    }


def _heading(visit: Visit, sitting: Sitting) -> str:
    """Whose board it is, and from which paper it is copied."""
    person = f"{visit.patient.name}, born {visit.patient.birth_date:%-d %B %Y}"
    return f"{person}. {papers.on_paper(sitting.sheet)}" if sitting.sheet else person


def _view(name: str) -> dict[str, Any]:
    view = figure.load().view(name)
    return {
        "width": view.width,
        "height": view.height,
        "midline_x": view.midline_x,
        "outline": picture.outline_of(name),
        "relief": static(f"figure/{view.relief}"),
    }


def stroke_json(row: SentStroke, *, layer: str, own: bool) -> dict[str, Any]:
    """A stroke as the script takes it; `own`: whether this board may take it back."""
    return {
        "id": str(row.event_id),
        "seq": row.seq,
        "view": row.view,
        "kind": row.kind or None,
        "mode": row.mode,
        "nib_mm": row.nib_mm,
        "points": row.points,
        "region": row.region,
        "layer": layer,
        "own": own,
    }


def withdrawal_json(row: SentWithdrawal, *, own: bool) -> dict[str, Any]:
    """What takes strokes out of the drawing or puts them back, as the script takes it; `own` as above."""
    return {
        "id": str(row.event_id),
        "seq": row.seq,
        "strokes": row.strokes,
        "restores": row.restores,
        "own": own,
    }
