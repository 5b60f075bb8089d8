"""How often treatment was followed by a reaction, with the rate that can't be ruled out.

A treatment is a visit with something done to the body; it counts once, with its worst reaction that stands.
Exact numbers: a rate that is hidden while it is small hides the danger it should tell of. So these numbers
follow the period and the clinician alone; sex, age, region and kind of pain, which would single out a person,
do not narrow them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import QuerySet

from charting.patients.access import chart_records_of
from charting.review.chosen import Chosen
from charting.review.exact import upper_bound
from charting.review.muscles import needles
from charting.review.numbers import load
from charting.review.queries import held
from charting.staff.models import User
from charting.treatment.models import AdverseEvent, TreatmentEntry
from charting.treatment.techniques import load as techniques

SEVERITIES = tuple(AdverseEvent.Severity.values)
LABELS = {
    "mild": "Any reaction",
    "significant": "Needed care, or kept from daily life, or worse",
    "serious": "Hospital, lasting harm, death",
}
NO_RULE = "no treatment in this period"


@dataclass(frozen=True)
class Rate:
    """`count` of `of` treatments. `at_most`: the one-sided exact upper bound, None without treatments."""

    label: str
    count: int
    of: int
    at_most: float | None

    @property
    def share_words(self) -> str:
        return percent(self.count / self.of) if self.of else NO_RULE

    @property
    def at_most_words(self) -> str:
        return "" if self.at_most is None else percent(self.at_most)


@dataclass(frozen=True)
class Safety:
    """`untied`: reactions of the period that nobody tied to a visit: they are in no rate."""

    treatments: tuple[Rate, ...]
    needled: tuple[Rate, ...]
    untied: int


def safety_of(user: User, chosen: Chosen) -> Safety:
    """Four queries."""
    visits = held(user, chosen, "visit__")
    entries = TreatmentEntry.objects.filter(visits, technique__in=_that_treat()).order_by()
    events = AdverseEvent.objects.filter(visits, corrected_by__isnull=True).order_by()
    # A reaction for which nobody chose a technique may be one to the needle.
    pierced = events.filter(technique__in=[*needles(), ""])
    return Safety(
        treatments=_rates(_visits(entries), _worst(events.values_list("visit_id", "severity"))),
        needled=_rates(
            _visits(entries.filter(technique__in=needles())),
            _worst(pierced.values_list("visit_id", "severity")),
        ),
        untied=_untied(user, chosen),
    )


def percent(share: float) -> str:
    """ "19.2 %", and of a small one two digits that count: "0.039 %"."""
    shown = 100 * share
    return f"{shown:.1f} %" if shown >= 1 or not shown else f"{shown:.2g} %"


def rate(label: str, count: int, of: int) -> Rate:
    return Rate(label, count, of, upper_bound(count, of, load().level) if of else None)


def _that_treat() -> list[str]:
    """What is done to the body: words and advice are followed by no reaction of this kind."""
    return [one.id for one in techniques().all if one.treats]


def _visits(entries: QuerySet[TreatmentEntry]) -> frozenset[UUID]:
    return frozenset(entries.values_list("visit_id", flat=True).distinct())


def _worst(rows: Iterable[tuple[UUID | None, str]]) -> Mapping[UUID, int]:
    """The worst severity by visit, as its place in SEVERITIES."""
    found: dict[UUID, int] = {}
    for visit, severity in rows:
        if visit is not None:
            found[visit] = max(found.get(visit, 0), SEVERITIES.index(severity))
    return found


def _rates(treated: frozenset[UUID], worst: Mapping[UUID, int]) -> tuple[Rate, ...]:
    """Each severity with those beyond it. A reaction to what is not on record any more is in none."""
    mine = [worst[visit] for visit in treated if visit in worst]
    return tuple(
        rate(LABELS[name], sum(one >= at for one in mine), len(treated)) for at, name in enumerate(SEVERITIES)
    )


def _untied(user: User, chosen: Chosen) -> int:
    known = AdverseEvent.objects.filter(patient__in=chart_records_of(user), visit=None)
    rows = known.filter(corrected_by__isnull=True)
    return rows.filter(happened_at__gte=chosen.start, happened_at__lt=chosen.end).count()
