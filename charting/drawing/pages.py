"""What the pages of a drawing may use."""

from dataclasses import dataclass
from typing import Any

from django.templatetags.static import static

from bodymaps import describe, figure, kinds, parts, strokes, svg
from charting.drawing import picture, queries
from charting.drawing.models import DrawnBy, StoredStroke, Withdrawal
from charting.drawing.picture import KindPicture, ViewPicture
from charting.drawing.sittings import Sitting
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write


@dataclass(frozen=True)
class StepPage:
    """The drawing of a visit as it stands: pictures, the same in sentences, and whether it may change."""

    views: tuple[ViewPicture, ...]
    key: tuple[KindPicture, ...]
    sentences: tuple[str, ...]
    drawn_by: tuple[str, ...]
    is_empty: bool
    no_pain: bool
    may_write: bool


def step_page(visit: Visit, user: User) -> StepPage:
    drawing = queries.drawing_of(visit)
    marks = drawing.marks
    return StepPage(
        views=picture.views_of(marks),
        key=picture.key_of(marks, drawing.intensities),
        sentences=describe.drawing(marks) if marks else (),
        drawn_by=tuple(DrawnBy(who).label.lower() for who in drawing.drawn_by),
        is_empty=not marks,
        no_pain=drawing.no_pain,
        may_write=may_write(user, visit),
    )


def board_data(visit: Visit, sitting: Sitting, *, csrf: str) -> dict[str, Any]:
    """Everything the board's script needs, as plain JSON: the figure, the kinds, what was drawn so far."""
    kept = queries.kept_of(visit)
    drawing = queries.drawing_in(kept)
    return {
        "figure": {view: _view(view) for view in ("front", "back")},
        "kinds": [kind for kind in kinds.as_json() if kind["id"] in {own.id for own in sitting.kinds}],
        "all_kinds": kinds.as_json(),
        "strokes": [_stroke(row, sitting) for row in kept.strokes],
        "withdrawals": [_withdrawal(row, sitting) for row in kept.withdrawals],
        "answer": {"intensities": drawing.intensities, "no_pain": drawing.no_pain},
        "next_seq": kept.last_seq + 1,
        "limits": strokes.LIMITS.as_json(),
        "body": parts.as_json(),
        "urls": sitting.urls,
        "device": sitting.device,
        "csrf": csrf,
        "who": "patient" if sitting.by_patient else "staff",
        "layer": str(sitting.layer),
        "heading": f"{visit.patient.name}, born {visit.patient.birth_date:%-d %B %Y}",
    }


def _view(name: str) -> dict[str, Any]:
    view = figure.load().view(name)
    return {
        "width": view.width,
        "height": view.height,
        "midline_x": view.midline_x,
        "outline": svg.path(view.outline),
        "relief": static(f"figure/{view.relief}"),
    }


def _stroke(row: StoredStroke, sitting: Sitting) -> dict[str, Any]:
    return {
        "id": str(row.event_id),
        "seq": row.seq,
        "view": row.view,
        "kind": row.kind or None,
        "mode": row.mode,
        "nib_mm": row.nib_mm,
        "points": row.points,
        "region": row.region,
        "layer": row.drawn_by,
        "own": sitting.owns(row),
    }


def _withdrawal(row: Withdrawal, sitting: Sitting) -> dict[str, Any]:
    return {
        "id": str(row.event_id),
        "seq": row.seq,
        "strokes": row.strokes,
        "restores": row.restores,
        "own": sitting.owns(row),
    }
