"""What fits the findings on record: roots, plexuses, nerves, and clusters of tests with their ratios."""

from collections.abc import Mapping
from dataclasses import dataclass

from bodymaps import words
from bodymaps.reasoning import clusters, items, neuro, ratios_file
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.neuro import Fit
from bodymaps.reasoning.signs import Apart
from charting.history.queries import case_of
from charting.screening.forms import where
from charting.screening.queries import Found, measured_beside, values_in
from charting.screening.sections import Cell
from charting.visits.models import Visit

# Fits shown at once; the others are folded.
FIRST = 4


@dataclass(frozen=True)
class Judged:
    """A cluster or a single test, with its likelihoods in percent as they are read ("" for none)."""

    told: clusters.Cluster | clusters.Single
    before_percent: str
    after_percent: str


@dataclass(frozen=True)
class Reasoned:
    """`more`: the fits that are folded. `apart`: (side, what tells two of the fits apart). `beside`: what was
    measured as range of a joint and counts here, in words.
    """

    fits: tuple[Fit, ...]
    more: tuple[Fit, ...]
    apart: tuple[tuple[str, Apart], ...]
    clusters: tuple[Judged, ...]
    singles: tuple[Judged, ...]
    cord: tuple[str, ...]
    beside: tuple[str, ...] = ()

    @property
    def is_empty(self) -> bool:
        return not (self.fits or self.clusters or self.singles or self.cord)


def case_in(visit: Visit, found: Found, beside: Mapping[Cell, float]) -> Case:
    """The case of a visit, with findings that were read already and what was measured beside them."""
    patient = visit.patient
    held_on = visit.started_at.astimezone(patient.practice.zone).date()
    values = {**values_in(found), **beside}
    return Case(patient.age_on(held_on), patient.sex, case_of(visit), values)


def reasoned_of(visit: Visit, found: Found) -> Reasoned:
    """Of what is on record; what only stands in the form is not reasoned about. Joints have a page of their
    own.
    """
    beside = measured_beside(visit, found)
    case, published = case_in(visit, found, beside), ratios_file.screen()
    fits = neuro.fits(case)
    return Reasoned(
        fits=fits[:FIRST],
        more=fits[FIRST:],
        apart=neuro.apart(fits[:FIRST]),
        clusters=tuple(_judged(one) for one in _most_positive_first(clusters.of(case, published))),
        singles=tuple(_judged(one) for one in clusters.singles(case, published)),
        cord=neuro.upper_motor(case),
        beside=tuple(_in_words(cell, value) for cell, value in beside.items()),
    )


def _in_words(cell: Cell, value: float) -> str:
    """ "Neck, Rotation, right: 55 °" """
    return f"{where(*cell)}: {items.findings().items[cell[0]].words_for(value)}"


def _most_positive_first(found: tuple[clusters.Cluster, ...]) -> list[clusters.Cluster]:
    """The side that stands out before the one that does not."""
    return sorted(found, key=lambda cluster: -len(cluster.positive))


def _judged(told: clusters.Cluster | clusters.Single) -> Judged:
    return Judged(told, _percent(told.before), _percent(told.after))


def _percent(share: float | None) -> str:
    return "" if share is None else words.percent(share)
