"""The drawings: a few different ones, taken in turn, with their strokes and their cells."""

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from bodymaps import coarse, marks
from charting.drawing.models import DrawnBy, DrawnCells, StoredStroke
from charting.drawing.queries import stroke_on
from charting.management.hand import points_along
from charting.management.scale.people import new_id, words
from charting.visits.models import Visit

DIFFERENT = 60
KINDS = ("ache", "burning", "tingling", "pressure")
NIB_MM = 40.0


@dataclass(frozen=True)
class Made:
    """A drawing of a visit; `cells` by view and kind."""

    visit: Visit
    strokes: tuple[StoredStroke, ...]
    cells: Mapping[tuple[str, str], bytes]


def drawings(of: Sequence[Visit], dice: random.Random) -> list[Made]:
    known = [_different(dice) for _ in range(DIFFERENT)]
    return [Made(visit, *dice.choice(known)) for visit in of]


def strokes(made: Iterable[Made], dice: random.Random) -> Iterator[StoredStroke]:
    for one in made:
        yield from (_stored(one.visit, row, dice) for row in one.strokes)


def cells(made: Iterable[Made]) -> Iterator[DrawnCells]:
    told = {"figure": coarse.version(), "cell_mm": coarse.CELL_MM}
    for one in made:
        for (view, kind), kept in one.cells.items():
            yield DrawnCells(visit_id=one.visit.pk, view=view, kind=kind, cells=kept, **told)


def _different(dice: random.Random) -> tuple[tuple[StoredStroke, ...], Mapping[tuple[str, str], bytes]]:
    pair = (_stroke(1, dice), _stroke(2, dice))
    return pair, coarse.rows(marks.paint(stroke_on(row, DrawnBy.PATIENT) for row in pair))


def _stroke(seq: int, dice: random.Random) -> StoredStroke:
    view = dice.choice(("front", "back"))
    places = words()["lines"][view]
    at = dice.randrange(len(places) - 1)
    points = points_along(view, places[at : at + 2], dice.choice(("right", "left")))
    drawn = {"kind": dice.choice(KINDS), "mode": "shade", "nib_mm": NIB_MM, "points": points}
    return StoredStroke(event_id=new_id(dice), seq=seq, view=view, **drawn)


def _stored(visit: Visit, row: StoredStroke, dice: random.Random) -> StoredStroke:
    told = {name: getattr(row, name) for name in ("seq", "view", "kind", "mode", "nib_mm", "points")}
    return StoredStroke(
        visit_id=visit.pk,
        event_id=new_id(dice),
        drawn_by=DrawnBy.PATIENT,
        received_at=visit.started_at + timedelta(minutes=row.seq),
        body_sha256="0" * 64,
        **told,
    )
