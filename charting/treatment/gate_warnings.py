"""What was needled in spite of advice: deeper than published figures, both sides of the chest. In words."""

from collections.abc import Iterable

from bodymaps.atlas import Atlas
from bodymaps.reasoning import needling
from charting.patterns.queries import atlas_for
from charting.treatment.models import TreatmentEntry
from charting.treatment.where import Where, words_of
from charting.visits.models import Visit


def depth_warnings(row: TreatmentEntry, known: Atlas) -> tuple[str, ...]:
    """One line for each published depth that the needle of an entry passed."""
    depth = row.needles.get("depth_mm")
    if depth is None:
        return ()
    place = words_of(Where(row.muscle, row.side), known)
    gates = needling.depth_gates(row.muscle, row.side, depth, row.site)
    return tuple(f"{place}: {gate.title}. {gate.words}" for gate in gates)


def warnings_of(visit: Visit, entries: Iterable[TreatmentEntry]) -> tuple[str, ...]:
    """Of every needle among the entries of a visit. No query where there is none."""
    rows = [row for row in entries if row.needles]
    if not rows:
        return ()
    known = atlas_for(visit.patient.practice)
    both = needling.visit_gates([(row.muscle, row.side, row.site) for row in rows])
    deep = (words for row in rows for words in depth_warnings(row, known))
    return (*(f"{gate.title}: needled." for gate in both), *dict.fromkeys(deep))
