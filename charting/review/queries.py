"""Every read of the review: a fixed number of queries, however many visits. Each begins at the charts that
somebody may open.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from django.db.models import CharField, Exists, Min, OuterRef, Q, QuerySet
from django.db.models.functions import Cast
from django.utils import timezone

from bodymaps import coarse, figure, parts
from bodymaps.heat import NO_KEY, Drawn
from charting.drawing.cells import without_cells
from charting.drawing.models import DrawnCells
from charting.patients.access import chart_records_of, in_charts_of
from charting.patients.models import Patient
from charting.review.chosen import AgeBand, Chosen, Month
from charting.review.shown import Shown, key_of, shown
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.models import Visit


def raw(name: str) -> Cast:
    """A key as the database writes it: read a hundred thousand times, and held against others alone."""
    return Cast(name, CharField())


def held(user: User, chosen: Chosen, path: str = "") -> Q:
    """The visits of the period and the clinician, signed or not: what counts of treatments and gaps follow.
    `path`: how a row leads to its visit, "visit__".
    """
    found = in_charts_of(user, f"{path}patient")
    found &= Q(**{f"{path}started_at__gte": chosen.start, f"{path}started_at__lt": chosen.end})
    return found & Q(**{f"{path}clinician": chosen.clinician}) if chosen.clinician else found


def narrowed(user: User, chosen: Chosen, path: str = "") -> Q:
    """The signed ones, as far as the database can choose: age, region and kind of pain are left to who reads
    the rows.
    """
    found = held(user, chosen, path) & Q(**{f"{path}signed_at__isnull": False})
    return found & Q(**{f"{path}patient__sex": chosen.sex}) if chosen.sex else found


def signed(user: User) -> QuerySet[Visit]:
    return Visit.objects.filter(in_charts_of(user, "patient"), signed_at__isnull=False).order_by()


def first_month(user: User) -> Month:
    """The month of the first signed visit; this month without any."""
    first = signed(user).aggregate(first=Min("started_at"))["first"] or timezone.now()
    zone = user.practice.zone if user.practice else ZoneInfo("UTC")
    return Month.of(first.astimezone(zone).date())


def clinicians_of(user: User) -> tuple[User, ...]:
    """Who treats in the practice of `user`, and who did and has left since, by name."""
    staff = User.objects.filter(practice=user.practice_id).annotate(
        has_treated=Exists(Visit.objects.filter(clinician=OuterRef("pk")))
    )
    by_name = staff.order_by("last_name", "first_name", "username")
    return tuple(each for each in by_name if each.has_treated or may(each, "treat"))


def to_fill_in(user: User) -> QuerySet[Visit]:
    """Signed visits whose drawing is not counted yet."""
    return without_cells(signed(user)).order_by("signed_at")


def same_person(user: User) -> Mapping[str, str]:
    """Records that were found to be of a person who has another: which one counts."""
    merged = chart_records_of(user).exclude(merged_into=None).order_by()
    into: dict[str, str] = dict(merged.values_list(raw("pk"), raw("merged_into_id")))
    found = {}
    for gone in into:
        kept = into[gone]
        while kept in into:
            kept = into[kept]
        found[gone] = kept
    return found


@dataclass(frozen=True)
class Selected:
    """The visits that are looked at. `person` by visit: the place in `ids`, one for each person. `missing`:
    visits of the period whose drawing is not counted yet; not looked for where a kind of pain is chosen.
    """

    person: Mapping[str, int]
    ids: Sequence[str]
    touched: Mapping[str, tuple[int, ...]]
    missing: int

    @cached_property
    def keys(self) -> list[int]:
        return [key_of(each) for each in self.ids]

    def shown(self, people: Iterable[int]) -> Shown:
        """How many they are, as it may be told; one who is there twice counts once."""
        known = set(people)
        return shown(len(known), min((self.keys[one] for one in known), default=NO_KEY))

    @property
    def everybody(self) -> Shown:
        return self.shown(range(len(self.ids)))

    def parts_of(self, visit: str) -> tuple[str, ...]:
        """Keys of bodymaps.parts where this visit says it hurts, as it was chosen."""
        return tuple(parts.KEYS[number] for number in self.touched.get(visit, ()))


def selected(user: User, chosen: Chosen) -> Selected:
    """Three queries."""
    touched = _touched(user, chosen)
    same = same_person(user)
    number = parts.KEYS.index(chosen.part) if chosen.part else -1
    places: dict[str, int] = {}
    person: dict[str, int] = {}
    missing = 0
    for visit, patient in _visits(user, chosen):
        here = touched.get(visit)
        missing += here is None and chosen.kind is None
        if (chosen.part and number not in (here or ())) or (chosen.kind and here is None):
            continue
        person[visit] = places.setdefault(same.get(patient, patient), len(places))
    return Selected(person, tuple(places), touched, missing)


def _visits(user: User, chosen: Chosen) -> Iterable[tuple[str, str]]:
    rows = Visit.objects.filter(narrowed(user, chosen)).order_by()
    if chosen.ages is None:
        return rows.values_list(raw("pk"), raw("patient_id")).iterator()
    told = rows.values_list(raw("pk"), raw("patient_id"), "started_at", "patient__birth_date")
    return (
        (visit, patient) for visit, patient, at, born in told if _is_of(chosen.ages, at, born, chosen.zone)
    )


def _is_of(band: AgeBand, at: datetime, born: date, zone: ZoneInfo) -> bool:
    return band.holds(Patient(birth_date=born).age_on(at.astimezone(zone).date()))


def _rows(user: User, chosen: Chosen) -> QuerySet[DrawnCells]:
    return DrawnCells.objects.filter(narrowed(user, chosen, "visit__"), figure=coarse.version()).order_by()


def _touched(user: User, chosen: Chosen) -> Mapping[str, tuple[int, ...]]:
    """By visit, the numbers of the parts where it hurts; with a kind of pain only visits that have it."""
    rows = _rows(user, chosen).filter(view=coarse.PARTS, kind=chosen.kind or coarse.ANY_KIND)
    read: dict[bytes, tuple[int, ...]] = {}
    found = {}
    for visit, kept in rows.values_list(raw("visit_id"), "cells").iterator():
        told = bytes(kept)
        if told not in read:
            read[told] = coarse.read(told)
        found[visit] = read[told]
    return found


def drawn(user: User, chosen: Chosen, among: Selected) -> Drawn:
    """The cells of these visits. One query."""
    rows = _rows(user, chosen).filter(view__in=figure.VIEWS)
    rows = rows.filter(kind=chosen.kind) if chosen.kind else rows
    people: list[int] = []
    views: list[str] = []
    cells: list[bytes] = []
    for visit, view, kept in rows.values_list(raw("visit_id"), "view", "cells").iterator():
        one = among.person.get(visit)
        if one is not None:
            people.append(one)
            views.append(view)
            cells.append(bytes(kept))
    return Drawn(people, views, cells)
