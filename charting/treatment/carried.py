"""What the form of a new entry begins with: how much of it was done last, never what was found or counted."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from bodymaps.reasoning import needling
from charting.examination.models import MuscleFinding
from charting.treatment import done
from charting.treatment.done import DEPTH, DIRECTION, GAUGE, LENGTH, Done
from charting.treatment.models import TreatmentEntry
from charting.treatment.where import Where, of

# Of another place, and over the lung, how deep and which way is never carried over.
SIZES = (GAUGE, LENGTH)
WAY = (DEPTH, DIRECTION)


@dataclass(frozen=True)
class Begun:
    """`said` fills the form; `of` is the entry it comes from, None for an empty form."""

    said: Done
    of: TreatmentEntry | None = None


def begun(
    technique: str,
    at: Where,
    used: Iterable[TreatmentEntry],
    felt: Iterable[MuscleFinding],
    like: TreatmentEntry | None = None,
) -> Begun:
    """As `like`; else as the same was done on this place last; else as it was done last at all. `used`:
    entries of the person with this technique, newest first; `felt`: today's findings, for the place of the
    muscle.
    """
    rows = list(used)
    source = like or next((row for row in rows if of(row).spot == at.spot), None) or next(iter(rows), None)
    if source is None:
        return Begun(Done(technique, _sited(at, felt, None)))
    is_same = of(source).spot == at.spot
    said = done.of(source)
    is_said_anew = not is_same or needling.over_lung(at.muscle, at.site)
    needles = _kept(said.needles, SIZES if is_said_anew else (*SIZES, *WAY))
    here = _sited(at, felt, source if is_same or like else None)
    return Begun(Done(technique, here, dose=said.dose, needles=needles), source)


def _sited(at: Where, felt: Iterable[MuscleFinding], source: TreatmentEntry | None) -> Where:
    """With the site that was asked for, else the one examined today, else that of the last time."""
    if at.site or not at.muscle:
        return at
    sites = [row.site for row in felt if (row.muscle, row.side) == (at.muscle, at.side)]
    site = sites[0] if len(sites) == 1 else source.site if source and not sites else ""
    area = source.area if source and at.is_unplaced else ""
    return Where(at.muscle, at.side, site, area)


def _kept(needles: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: needles[name] for name in names if needles.get(name)}
