"""The ranking of a visit. Computed at each read: no cache that could tell of another drawing."""

from dataclasses import dataclass

from bodymaps import explain, matching
from bodymaps.atlas import Atlas
from bodymaps.explain import Explanation
from bodymaps.marks import Mark
from bodymaps.matching import Ranking
from charting.drawing.areas import Told, ToldArea, told
from charting.drawing.queries import Drawing, Kept, drawing_in, kept_of
from charting.flags.queries import FlagState, state_of
from charting.history.queries import Answered, all_answered, screen_of
from charting.patterns.queries import atlas_for
from charting.visits.models import Visit


@dataclass(frozen=True)
class Ranked:
    """The danger screen and the signs of danger, a drawing with its areas, and what was ranked: None until
    all is answered.

    `ranking` holds the whole drawing against the atlas at once. With two areas or more `explanation` ranks
    each alone, and the whole by what explains it; it is None with one or none. `atlas` is that of the
    practice, its own patterns in it.
    """

    screen: tuple[Answered, ...]
    flags: FlagState
    kept: Kept
    drawing: Drawing
    told: Told
    ranking: Ranking | None
    explanation: Explanation | None
    atlas: Atlas

    @property
    def marks(self) -> tuple[Mark, ...]:
        return self.told.marks

    @property
    def areas(self) -> tuple[ToldArea, ...]:
        return self.told.areas


def ranked(visit: Visit) -> Ranked:
    """Paint the drawing and hold it against the atlas. Some tens of milliseconds for each area."""
    screen = screen_of(visit)
    kept = kept_of(visit)
    drawing = drawing_in(kept)
    read = told(drawing)
    danger = state_of(visit, read.marks)
    known = atlas_for(visit.patient.practice)
    if not all_answered(screen):
        return Ranked(screen, danger, kept, drawing, read, None, None, known)
    whole = matching.rank(read.marks, known, something_drawn=not drawing.is_empty)
    # A drawing that covers everything points to nothing, however many areas it is made of.
    several = len(read.areas) > 1 and not whole.stands_aside
    explained = explain.explain([area.marks for area in read.areas], known) if several else None
    return Ranked(screen, danger, kept, drawing, read, whole, explained, known)
