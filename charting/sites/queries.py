"""Every read of the sites of a practice: who works there, and who is seen there."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.shortcuts import get_object_or_404

from charting.patients.access import lastingly_of, patients_of
from charting.patients.models import Patient, PatientSite
from charting.staff.models import Site, User

# So many people on one page of those who are at no site.
MOST = 100


@dataclass(frozen=True)
class Place:
    """One site for one person: whether they are seen there."""

    site: Site
    here: bool


def sites_of(user: User) -> QuerySet[Any]:
    """Those of the practice, in use first, each with `people_here` and `workers`: how many. One query."""
    rows = Site.objects.filter(practice=user.practice_id)
    return rows.annotate(people_here=_people(), workers=_workers()).order_by("-in_use", "name")


def site_of(user: User, site_id: int) -> Any:
    """Raises Http404."""
    return get_object_or_404(sites_of(user), pk=site_id)


def workers_at(site: Site) -> tuple[User, ...]:
    """Who works there but not at every site, by name."""
    return tuple(_active(site.practice_id).filter(sites=site, every_site=False))


def workers_everywhere(user: User) -> tuple[User, ...]:
    return tuple(_active(user.practice_id).filter(every_site=True))


def workers_nowhere(user: User) -> tuple[User, ...]:
    """Who works at no site that is in use: they know nobody."""
    at_one = Site.objects.filter(in_use=True, staff=OuterRef("pk"))
    return tuple(_active(user.practice_id).filter(~Exists(at_one), every_site=False))


def people_at_none(user: User) -> QuerySet[Patient]:
    """The people who are seen at no site: known to who works at every site, and to nobody else."""
    at_one = PatientSite.objects.filter(patient=OuterRef("pk"))
    return patients_of(user).filter(~Exists(at_one))


def places_of(patient: Patient) -> tuple[Place, ...]:
    """The sites in use, and those a person is seen at though they are closed. One query; () without sites."""
    here = Exists(PatientSite.objects.filter(patient=patient, site=OuterRef("pk")))
    rows = Site.objects.filter(practice=patient.practice_id).annotate(here=here)
    return tuple(Place(site, site.here) for site in rows if site.in_use or site.here)


def may_place(user: User, patient: Patient) -> bool:
    """Not for a chart that stands open in an emergency only."""
    return lastingly_of(user).filter(pk=patient.pk).exists()


def _active(practice_id: int | None) -> QuerySet[User]:
    return User.objects.filter(practice=practice_id, is_active=True).order_by("last_name", "first_name")


def _people() -> Coalesce:
    rows = PatientSite.objects.filter(site=OuterRef("pk"), patient__merged_into=None)
    return Coalesce(Subquery(rows.order_by().values("site").annotate(n=Count("pk")).values("n")), 0)


def _workers() -> Coalesce:
    rows = User.objects.filter(sites=OuterRef("pk"), is_active=True, every_site=False)
    return Coalesce(Subquery(rows.order_by().values("sites").annotate(n=Count("pk")).values("n")), 0)
