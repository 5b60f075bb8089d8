"""The ranking of a visit. Computed at each read: no cache that could tell of another drawing."""

from dataclasses import dataclass

from bodymaps import atlas, matching
from bodymaps.marks import Mark
from bodymaps.matching import Ranking
from charting.drawing.queries import Drawing, drawing_of
from charting.history.queries import Answered, all_answered, screen_of
from charting.visits.models import Visit


@dataclass(frozen=True)
class Ranked:
    """The danger screen, a drawing with its painted areas, and the ranking: None until every question is
    answered.
    """

    screen: tuple[Answered, ...]
    drawing: Drawing
    marks: tuple[Mark, ...]
    ranking: Ranking | None


def ranked(visit: Visit) -> Ranked:
    """Paint the drawing and hold it against the atlas. Takes some tens of milliseconds for a full drawing."""
    screen = screen_of(visit)
    drawing = drawing_of(visit)
    marks = drawing.marks
    if not all_answered(screen):
        return Ranked(screen, drawing, marks, None)
    found = matching.rank(marks, atlas.load(), something_drawn=not drawing.is_empty)
    return Ranked(screen, drawing, marks, found)
