"""The ranking of a visit, and what speaks for and against each candidate. Computed at each read: no cache
that could tell of another drawing.
"""

from dataclasses import dataclass, replace

from bodymaps import explain, matching
from bodymaps.atlas import Atlas
from bodymaps.explain import Explanation
from bodymaps.marks import Mark
from bodymaps.matching import Ranking
from bodymaps.reasoning import evidence, same_area
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.evidence import Evidence
from bodymaps.reasoning.same_area import SameArea
from charting.candidates import wholes
from charting.drawing.areas import Told, ToldArea, told
from charting.drawing.queries import Drawing, Kept, drawing_in, kept_of
from charting.flags.queries import FlagState, facts_of, state_with
from charting.history.queries import Answered, all_answered, screen_of
from charting.patterns.queries import atlas_for
from charting.visits.models import Visit


@dataclass(frozen=True)
class Ranked:
    """The danger screen and the signs of danger, a drawing with its areas, and what was ranked: None until
    all is answered.

    `ranking` holds the whole drawing against the atlas at once. With two areas or more `explanation` ranks
    each alone, and the whole by what explains it; it is None with one or none. `atlas` is that of the
    practice, its own patterns in it. `evidence` holds story and findings against the whole; it is None, and
    `same_areas` empty, as long as nothing is ranked or a sign of danger waits for a decision.
    """

    screen: tuple[Answered, ...]
    flags: FlagState
    kept: Kept
    drawing: Drawing
    told: Told
    ranking: Ranking | None
    explanation: Explanation | None
    atlas: Atlas
    facts: Facts
    evidence: Evidence | None = None
    same_areas: tuple[SameArea, ...] = ()

    @property
    def marks(self) -> tuple[Mark, ...]:
        return self.told.marks

    @property
    def areas(self) -> tuple[ToldArea, ...]:
        return self.told.areas


def ranked(visit: Visit) -> Ranked:
    """Paint the drawing, hold it against the atlas, then story and findings against every candidate. Some
    tens of milliseconds for each area.
    """
    screen = screen_of(visit)
    kept = kept_of(visit)
    drawing = drawing_in(kept)
    read = told(drawing)
    facts = facts_of(visit, read.marks)
    danger = state_with(visit, facts)
    known = atlas_for(visit.patient.practice)
    if not all_answered(screen):
        return Ranked(screen, danger, kept, drawing, read, None, None, known, facts)
    whole = matching.rank(read.marks, known, something_drawn=not drawing.is_empty)
    # A drawing that covers everything points to nothing, however many areas it is made of.
    several = len(read.areas) > 1 and not whole.stands_aside
    explained = explain.explain([area.marks for area in read.areas], known) if several else None
    found = Ranked(screen, danger, kept, drawing, read, whole, explained, known, facts)
    return found if danger.holds_back else _with_evidence(found, wholes.as_listed(whole, explained))


def _with_evidence(found: Ranked, listed: Ranking) -> Ranked:
    judged = evidence.judge(listed, found.facts, found.atlas)
    return replace(found, evidence=judged, same_areas=same_area.groups(listed, found.atlas, judged))
