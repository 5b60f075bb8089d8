"""What the board page may use."""

from typing import Any

from django.templatetags.static import static
from django.urls import reverse

from bodymaps import figure, kinds, strokes, svg
from charting.drawing import queries
from charting.drawing.models import StoredStroke, Withdrawal
from charting.visits.models import Visit


def board_data(visit: Visit, *, who: str, csrf: str) -> dict[str, Any]:
    """Everything the board's script needs, as plain JSON: the figure, the kinds, what was drawn so far."""
    answer = queries.drawing_of(visit)
    patient = visit.patient
    by_patient = who != "clinician"
    return {
        "figure": {view: _view(view) for view in ("front", "back")},
        "kinds": kinds.as_json(),
        "strokes": [_stroke(row) for row in StoredStroke.objects.filter(visit=visit)],
        "withdrawals": [_withdrawal(row) for row in Withdrawal.objects.filter(visit=visit)],
        "answer": {"intensities": answer.intensities, "no_pain": answer.no_pain},
        "next_seq": queries.last_seq(visit) + 1,
        "limits": strokes.LIMITS.as_json(),
        "urls": {
            "save": reverse("board-save") if by_patient else reverse("drawing-save", args=[visit.pk]),
            "done": reverse("board-done") if by_patient else reverse("candidates", args=[visit.pk]),
        },
        "csrf": csrf,
        "who": who,
        "heading": f"{patient.name}, born {patient.birth_date:%-d %B %Y}",
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


def _stroke(row: StoredStroke) -> dict[str, Any]:
    return {
        "id": str(row.event_id),
        "seq": row.seq,
        "view": row.view,
        "kind": row.kind or None,
        "mode": row.mode,
        "nib_mm": row.nib_mm,
        "points": row.points,
        "drawn_by": row.drawn_by,
    }


def _withdrawal(row: Withdrawal) -> dict[str, Any]:
    return {"id": str(row.event_id), "seq": row.seq, "strokes": row.strokes, "restores": row.restores}
