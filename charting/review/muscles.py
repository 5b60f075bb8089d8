"""Which muscles were treated, of how many people."""

from collections import defaultdict
from dataclasses import dataclass

from charting.patterns.queries import atlas_for
from charting.review.chosen import Chosen
from charting.review.queries import Selected, narrowed, raw
from charting.review.shown import Shown
from charting.staff.models import User
from charting.treatment.models import TreatmentEntry
from charting.treatment.techniques import load as techniques
from charting.treatment.where import Where, name_of


@dataclass(frozen=True)
class Treated:
    """One muscle, both sides together. `needled`: of those people, how many with a needle."""

    name: str
    people: Shown
    needled: Shown


def needles() -> frozenset[str]:
    """Ids of the techniques that break the skin."""
    return frozenset(one.id for one in techniques().all if one.needle)


def treated(user: User, chosen: Chosen, among: Selected) -> tuple[Treated, ...]:
    """Most people first; muscles of too few people are left out. One query."""
    people: dict[str, set[int]] = defaultdict(set)
    pierced: dict[str, set[int]] = defaultdict(set)
    rows = TreatmentEntry.objects.filter(narrowed(user, chosen, "visit__")).exclude(muscle="").order_by()
    for visit, muscle, technique in rows.values_list(raw("visit_id"), "muscle", "technique").iterator():
        person = among.person.get(visit)
        if person is not None:
            people[muscle].add(person)
            if technique in needles():
                pierced[muscle].add(person)
    known = atlas_for(user.practice)
    all_ = [
        Treated(name_of(Where(muscle), known), among.shown(people[muscle]), among.shown(pierced[muscle]))
        for muscle in people
    ]
    told = (one for one in all_ if not one.people.is_blank)
    return tuple(sorted(told, key=lambda one: (-one.people.least, one.name)))
