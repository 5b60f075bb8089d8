"""Every write to the sites of a practice, and to where people are seen."""

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import connection, transaction
from django.db.models import BigIntegerField, DateTimeField, Exists, OuterRef, QuerySet, Value
from django.utils import timezone

from charting.audit.services import record
from charting.patients.access import lastingly_of
from charting.patients.models import Patient, PatientSite
from charting.patients.seen_at import own_sites
from charting.sites.queries import people_at_none
from charting.staff.models import Practice, Site, User
from charting.staff.rights import require
from charting.versioning import Stale, save_if_current

RIGHT = "keep sites"


class NotDone(Exception):
    """Nothing was changed; the text says why and what to mend."""


class ElsewhereNow(Exception):
    """Somebody changed where the person is seen since the page was opened."""


@transaction.atomic
def add_site(*, who: User, name: str, **more: str) -> Site:
    """`more`: street, town, phone. The same sent again gives the site made before. Raises NotDone for a name
    that another site has; PermissionDenied.
    """
    require(who, RIGHT)
    practice = Practice.objects.select_for_update().get(staff=who)
    row = Site(practice=practice, name=" ".join(name.split()), **more)
    twin = _twin(row)
    if twin and all(getattr(twin, key) == value for key, value in more.items()) and twin.name == row.name:
        return twin
    _check_name(twin)
    row.save()
    record(who=who, did="added site", what=row)
    return row


@transaction.atomic
def change_site(*, who: User, site: Site, version: int, name: str, **more: str) -> Site:
    """Raises Stale with the row as it stands, NotDone, PermissionDenied."""
    _hold(who, site)
    name = " ".join(name.split())
    _check_name(_twin(Site(pk=site.pk, practice_id=site.practice_id, name=name)))
    save_if_current(site, version=version, name=name, **more)
    record(who=who, did="changed site", what=site, version=site.version)
    return site


@transaction.atomic
def close_site(*, who: User, site: Site, version: int, instead: Site | None) -> int:
    """Offer it no more, and see its people at another site instead; how many these are. In few queries,
    however many they are. Raises NotDone while people are there and no other site is named; Stale;
    PermissionDenied.
    """
    now = _hold(who, site)
    if not now.in_use:
        return 0
    if now.version != version:
        raise Stale(now)
    there = PatientSite.objects.filter(site=site)
    if there.exists() and instead is None:
        raise NotDone("People are seen here. Choose the site where they are seen instead.")
    if instead and (instead.practice_id != who.practice_id or not instead.in_use or instead.pk == site.pk):
        raise NotDone("Choose another site of the practice that is in use.")
    came = _put_all(Patient.objects.filter(at_sites__site=site), instead) if instead else 0
    left, _ = there.delete()
    save_if_current(site, version=version, in_use=False)
    record(
        who=who, did="closed site", what=site, instead=instead.pk if instead else None, people=left, new=came
    )
    return left


@transaction.atomic
def reopen_site(*, who: User, site: Site) -> Site:
    """Offer it again. Nobody is seen there until somebody says so."""
    now = _hold(who, site)
    if not now.in_use:
        save_if_current(now, version=now.version, in_use=True)
        record(who=who, did="opened site again", what=now)
    return now


@transaction.atomic
def place_all(*, who: User, site: Site | None) -> int:
    """See everybody who is at no site at this one; how many these are. One row of the trail tells of all of
    them, for each says itself when it came. Raises NotDone for a site that is closed; PermissionDenied.
    """
    if site is None:
        raise NotDone("Choose a site.")
    now = _hold(who, site)
    if not now.in_use:
        raise NotDone("This site is closed. Choose one that is in use.")
    count = _put_all(people_at_none(who), now)
    if count:
        record(who=who, did="placed everybody without a site", what=now, people=count)
    return count


@transaction.atomic
def place(*, who: User, patient: Patient, sites: Iterable[Site], shown: frozenset[int]) -> None:
    """Say where a person is seen. `shown`: the sites as they stood on the page.

    Raises ElsewhereNow, NotDone, PermissionDenied: for a chart that stands open in an emergency only too, or
    the emergency would never end.
    """
    require(who, "register")
    if not lastingly_of(who).select_for_update().filter(pk=patient.pk).first():
        raise PermissionDenied("Where a person is seen is said by somebody who works where that is.")
    said = {site.pk: site for site in sites}
    now = set(PatientSite.objects.filter(patient=patient).values_list("site", flat=True))
    if now == set(said):
        return
    if now != shown:
        raise ElsewhereNow
    _check_places(who, said, now)
    PatientSite.objects.filter(patient=patient).exclude(site__in=said).delete()
    PatientSite.objects.bulk_create(PatientSite(patient=patient, site=said[key]) for key in said.keys() - now)
    told = {"added": sorted(said.keys() - now), "removed": sorted(now - said.keys())}
    record(who=who, did="changed where seen", what=patient, **told)


def _check_places(who: User, said: dict[int, Site], now: set[int]) -> None:
    if not said:
        raise NotDone("Tick at least one site.")
    for site in said.values():
        if site.practice_id != who.practice_id or (not site.in_use and site.pk not in now):
            raise NotDone("Tick sites of the practice that are in use.")
    if not who.every_site and not said.keys() & {site.pk for site in own_sites(who)}:
        raise NotDone(
            "Tick at least one site where you work: you could not open the record any more. Somebody who "
            "works at every site can take the person away from all of yours."
        )


def _hold(who: User, site: Site) -> Site:
    """The row as it stands, held against others who keep the sites. Raises PermissionDenied."""
    require(who, RIGHT)
    if site.practice_id != who.practice_id:
        raise PermissionDenied("This site is one of another practice.")
    Practice.objects.select_for_update().get(pk=site.practice_id)
    return Site.objects.get(pk=site.pk)


def _twin(row: Site) -> Site | None:
    return Site.objects.filter(practice=row.practice_id, name__iexact=row.name).exclude(pk=row.pk).first()


def _check_name(twin: Site | None) -> None:
    if twin:
        closed = "" if twin.in_use else " It is closed: open it again."
        raise NotDone(f"There is a site of this name already: {twin.name}.{closed}")


def _put_all(people: QuerySet[Patient], site: Site) -> int:
    """Write down that all of these are seen at a site, in one statement. Those who are already stay."""
    here: Any = Exists(PatientSite.objects.filter(patient=OuterRef("pk"), site=site))
    rows = people.filter(~here).annotate(
        _site=Value(site.pk, BigIntegerField()), _at=Value(timezone.now(), DateTimeField())
    )
    found, params = rows.order_by().values_list("pk", "_site", "_at").query.sql_with_params()
    table = PatientSite._meta.db_table
    with connection.cursor() as cursor:
        # Table and query are Django's own, every value a parameter.
        cursor.execute(f"INSERT INTO {table} (patient_id, site_id, added_at) {found}", params)  # noqa: S608
        return cursor.rowcount
