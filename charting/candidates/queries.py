"""The ranking of a visit. Computed at each read: no cache that could tell of another drawing."""

from dataclasses import dataclass

from bodymaps import atlas, matching
from bodymaps.marks import Mark
from bodymaps.matching import Ranking
from charting.drawing.queries import Drawing, drawing_of
from charting.history.queries import is_complete
from charting.visits.models import Visit


@dataclass(frozen=True)
class Ranked:
    """A drawing with its painted areas, and the ranking: None until the danger screen is complete."""

    drawing: Drawing
    marks: tuple[Mark, ...]
    ranking: Ranking | None


def ranked(visit: Visit) -> Ranked:
    """Paint the drawing and hold it against the atlas. Takes some tens of milliseconds for a full drawing."""
    drawing = drawing_of(visit)
    marks = drawing.marks
    if not is_complete(visit):
        return Ranked(drawing, marks, None)
    found = matching.rank(marks, atlas.load(), something_drawn=not drawing.is_empty)
    return Ranked(drawing, marks, found)
