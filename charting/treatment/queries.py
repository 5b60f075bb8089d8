"""Every read of what was done. A visit or patient given here came through the patients' door."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Count, Exists, F, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.shortcuts import get_object_or_404

from charting.patients.access import chart_records_of
from charting.patients.models import Patient
from charting.patients.queries import of_person_or_visit, stands_as
from charting.staff.models import User
from charting.treatment import counts, techniques
from charting.treatment.counts import Needles
from charting.treatment.models import AdverseEvent, AdverseFollowUp, NeedleIncident, TreatmentEntry
from charting.visits.models import Visit


@dataclass(frozen=True)
class OpenReaction:
    """An adverse event that somebody is still to follow up; `due` is None where no day was set."""

    event: AdverseEvent
    due: date | None


# How far back an entry can fill the form of another one.
MOST_USED = 60


def entries_of(visit: Visit) -> tuple[TreatmentEntry, ...]:
    return tuple(TreatmentEntry.objects.filter(visit=visit).select_related("entered_by"))


def entries_among(visits: Iterable[Visit]) -> Mapping[UUID, tuple[TreatmentEntry, ...]]:
    """By the id of the visit, those without any left out. One query."""
    found: dict[UUID, tuple[TreatmentEntry, ...]] = {}
    for row in TreatmentEntry.objects.filter(visit__in=[visit.pk for visit in visits]):
        found[row.visit_id] = (*found.get(row.visit_id, ()), row)
    return found


def entry_of(visit: Visit, entry_id: int) -> TreatmentEntry:
    """One entry of this visit. Raises Http404 for any other."""
    return get_object_or_404(TreatmentEntry.objects.select_related("entered_by"), visit=visit, pk=entry_id)


def last_entries(visit: Visit) -> tuple[TreatmentEntry, ...]:
    """What was done at the last visit of the same person before this one that had any treatment, each with
    its visit; () when there was none. Two queries.
    """
    earlier = Visit.objects.filter(patient=visit.patient_id, started_at__lt=visit.started_at)
    last = earlier.filter(has_treatment()).order_by("-started_at").first()
    return tuple(TreatmentEntry.objects.filter(visit=last).select_related("visit")) if last else ()


def used_before(visit: Visit, technique: str) -> tuple[TreatmentEntry, ...]:
    """The newest entries of this person with one technique, up to this visit, newest first. One query."""
    rows = TreatmentEntry.objects.filter(
        visit__patient=visit.patient_id, visit__started_at__lte=visit.started_at, technique=technique
    )
    return tuple(rows.select_related("visit").order_by("-entered_at", "-pk")[:MOST_USED])


def needles_of(visit: Visit) -> Needles:
    """Needles in and out, and the entries whose counts are not settled. One query."""
    return counts.needles_in(TreatmentEntry.objects.filter(visit=visit).exclude(needles={}))


def minutes_by_technique(visit: Visit) -> dict[str, int]:
    """Minutes spent on each timed technique (ids of techniques.toml), in the order of that list; those
    without any left out. One query.
    """
    return minutes_in(entries_of(visit))


def minutes_in(rows: Iterable[TreatmentEntry]) -> dict[str, int]:
    """The same of entries at hand."""
    spent: dict[str, int] = {}
    for row in rows:
        spent[row.technique] = spent.get(row.technique, 0) + (row.minutes or 0)
    timed = (each.id for each in techniques.load().all if each.timed)
    return {name: spent[name] for name in timed if spent.get(name)}


def reactions_of(patient: Patient) -> tuple[AdverseEvent, ...]:
    """The adverse events that stand, newest first: one that a later line corrects is left out."""
    return tuple(AdverseEvent.objects.filter(of_person_or_visit(patient), corrected_by=None))


def open_reactions(user: User) -> tuple[OpenReaction, ...]:
    """What is still to be followed up in the charts that `user` may open, the longest due first, those
    without a day last. The newest follow-up says whether it is settled, and when the next one is due. One
    query.
    """
    last = AdverseFollowUp.objects.filter(event=OuterRef("pk")).order_by("-done_at", "-pk")
    standing = AdverseEvent.objects.filter(corrected_by=None, patient__in=chart_records_of(user))
    waiting = standing.annotate(
        settled=Subquery(last.values("settles")[:1]), next_on=Subquery(last.values("next_on")[:1])
    ).filter(Q(settled=False) | Q(settled=None, follow_up_on__isnull=False))
    found = [
        OpenReaction(event, event.follow_up_on if event.settled is None else event.next_on)
        for event in waiting.select_related("patient__merged_into", "visit__patient", "recorded_by")
    ]
    for each in found:
        each.event.patient = each.event.visit.patient if each.event.visit else stands_as(each.event.patient)
    return tuple(sorted(found, key=lambda each: (each.due is None, each.due or date.max)))


def has_treatment() -> Exists:
    """For a query of visits."""
    return Exists(TreatmentEntry.objects.filter(visit=OuterRef("pk")))


def entry_count() -> Coalesce:
    """For a query of visits: how many entries each holds."""
    rows = TreatmentEntry.objects.filter(visit=OuterRef("pk")).order_by().values("visit")
    return Coalesce(Subquery(rows.annotate(count=Count("pk")).values("count")), 0)


def has_needles_to_count() -> Exists:
    """For a query of visits: whether needles are not counted out yet, or differ and no incident is told."""
    rows = TreatmentEntry.objects.filter(visit=OuterRef("pk")).exclude(needles={})
    is_counted = Q(needles__has_key="count_out") & ~Q(needles__count_out=None)
    is_equal = Q(needles__count_out=F("needles__count_in"))
    is_told = Exists(NeedleIncident.objects.filter(visit=OuterRef("visit")))
    return Exists(rows.filter(~is_counted | (~is_equal & ~is_told)))
