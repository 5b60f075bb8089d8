"""The drawings of a person as small pictures, one for each visit: where it hurt, no more."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from uuid import UUID

from bodymaps import describe, figure, geometry, kinds, svg
from bodymaps import marks as painted_marks
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from charting.drawing.among import MOST_KEPT, Painted, painted_among
from charting.drawing.picture import WHOLE
from charting.visits.models import Visit

# Corners that stand off a line by less (mm of the figure) can't be seen: a view is some 100 pixels wide.
SEEN_MM = 6.0
# Both views side by side: the frame of one, and where the second begins.
LEFT, TOP, WIDE, HIGH = (float(edge) for edge in WHOLE.split())
BOX = f"{LEFT:.0f} {TOP:.0f} {2 * WIDE:.0f} {HIGH:.0f}"


@dataclass(frozen=True)
class SmallArea:
    """One kind of pain in one view: a path, and the ink it is filled with."""

    path: str
    ink: str


@dataclass(frozen=True)
class SmallView:
    """One view: where its frame begins, its outline, what is drawn."""

    view: str
    shift: str
    outline: str
    areas: tuple[SmallArea, ...]


@dataclass(frozen=True)
class SmallDrawing:
    """One visit. `words` tell what is drawn to somebody who can't see it; `is_told` is false where the visit
    says nothing of where it hurts.
    """

    visit: UUID
    at: datetime
    box: str
    views: tuple[SmallView, ...]
    percent: float
    words: str
    is_told: bool
    said_no_pain: bool


_kept: dict[UUID, tuple[tuple[SmallView, ...], str]] = {}


def small_drawings(
    visits: Iterable[Visit], painted: Mapping[UUID, Painted] | None = None
) -> tuple[SmallDrawing, ...]:
    """In the order of the visits given, four queries at most (none when they are `painted` already)."""
    known = tuple(visits)
    held = painted_among(known) if painted is None else painted
    return tuple(_small(visit, held[visit.pk]) for visit in known)


def _small(visit: Visit, painted: Painted) -> SmallDrawing:
    views, words = _pictures(visit, painted)
    return SmallDrawing(
        visit.pk,
        visit.started_at,
        BOX,
        views,
        painted.percent,
        words,
        painted.is_told,
        painted.said_no_pain,
    )


def _pictures(visit: Visit, painted: Painted) -> tuple[tuple[SmallView, ...], str]:
    """The drawing of a signed visit never changes again, so its picture is kept for the process."""
    if visit.pk in _kept:
        return _kept[visit.pk]
    made = (_views(painted_marks.symptoms(painted.marks)), words_of(painted))
    if visit.is_signed:
        _kept[visit.pk] = made
        for oldest in list(_kept)[: max(0, len(_kept) - MOST_KEPT)]:
            _kept.pop(oldest, None)
    return made


def words_of(painted: Painted) -> str:
    """ "Ache: front of right shoulder (62 cm²)."; or that there was no pain, or that nothing is drawn."""
    if painted.said_no_pain:
        return "No pain, says the patient."
    return " ".join(describe.drawing(painted_marks.symptoms(painted.marks))) or "Nothing is drawn."


def _views(pain: Iterable[Mark]) -> tuple[SmallView, ...]:
    drawn = tuple(pain)
    return tuple(
        SmallView(
            view,
            f"{number * WIDE:.0f}",
            outline_of(view),
            tuple(
                SmallArea(_coarse(mark.area), kinds.kind(mark.kind).ink)
                for mark in drawn
                if mark.view == view
            ),
        )
        for number, view in enumerate(figure.VIEWS)
    )


@cache
def outline_of(view: str) -> str:
    """The outline of the figure with a small part of its points: the same on every picture."""
    return _coarse(figure.load().view(view).outline)


def _coarse(area: Area) -> str:
    return svg.path(geometry.thinned_outline(area, SEEN_MM))
