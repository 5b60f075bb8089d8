"""Where people are seen: told when they are registered. A practice without sites is asked nothing."""

from collections.abc import Iterable, Sequence

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet

from charting.patients.models import Patient, PatientSite
from charting.staff.models import Practice, Site, User


def sites_offered(user: User) -> tuple[Site, ...]:
    """The sites in use of the practice, by name; () where it is one place. One query."""
    return tuple(sites_in_use(user.practice))


def sites_in_use(practice: Practice | None) -> QuerySet[Site]:
    return Site.objects.filter(practice=practice, in_use=True)


def own_sites(user: User) -> tuple[Site, ...]:
    """Those in use where `user` works: all of them for who works at every site."""
    if user.every_site:
        return sites_offered(user)
    return tuple(sites_in_use(user.practice).filter(staff=user))


def sites_for_new(user: User, said: Iterable[Site] = ()) -> tuple[Site, ...]:
    """Where somebody registered by `user` is seen: as `said`, else where `user` works, when that is one site
    or `user` is not at every site. () where the practice is one place, or nobody said.

    Raises PermissionDenied for a site that is not the practice's own.
    """
    said = tuple(said)
    check(user, said)
    if said:
        return said
    own = own_sites(user)
    return own if len(own) == 1 or not user.every_site else ()


def check(user: User, sites: Sequence[Site]) -> None:
    if any(site.practice_id != user.practice_id or not site.in_use for site in sites):
        raise PermissionDenied("This site does not belong to your practice, or is closed.")


def put(people: Sequence[Patient], sites: Sequence[Site]) -> None:
    """Write down that people who are registered just now are seen at these sites."""
    rows = (PatientSite(patient=patient, site=site) for site in sites for patient in people)
    PatientSite.objects.bulk_create(rows, batch_size=500)


def seen_at(patient: Patient) -> tuple[Site, ...]:
    """The sites where a person is seen, by name, closed ones too. One query."""
    return tuple(Site.objects.filter(people__patient=patient).order_by("name"))
