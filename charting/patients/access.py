"""The one door to patient data: every read of it starts here, from the member of staff who asks."""

from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from charting.patients.models import EmergencyAccess, Patient, PatientSite
from charting.staff.models import User
from charting.staff.rights import may


def patients_of(user: User) -> QuerySet[Patient]:
    """The patients this member of staff may know of: those of the own practice who are seen where they work,
    or none. A record that was merged into another is no longer one of them.
    """
    return records_of(user).filter(merged_into=None)


def lastingly_of(user: User) -> QuerySet[Patient]:
    """Those of patients_of that are no emergency: for what would make access last, such as saying where a
    person is seen, or making two records one.
    """
    return patients_of(user) if user.every_site else patients_of(user).filter(_seen_at_sites_of(user))


def charts_of(user: User) -> QuerySet[Patient]:
    """The patients whose clinical record this member of staff may open."""
    return patients_of(user) if may(user, "open chart") else Patient.objects.none()


def records_of(user: User) -> QuerySet[Patient]:
    """Those that were merged into another too: for reads of rows that stay under the record they were written
    for (queries.of_person). Never for a search or a write.
    """
    if user.practice_id is None or not may(user, "register"):
        return Patient.objects.none()
    people = Patient.objects.filter(practice_id=user.practice_id)
    return people if user.every_site else people.filter(_at_sites_of(user))


def chart_records_of(user: User) -> QuerySet[Patient]:
    """The same, for who may open charts."""
    return records_of(user) if may(user, "open chart") else Patient.objects.none()


def in_charts_of(user: User, path: str) -> Q:
    """As chart_records_of, for very many rows that lead to their patient by `path`: by join."""
    if not may(user, "open chart"):
        return Q(pk__in=[])
    if not user.every_site:
        return Q(**{f"{path}__in": chart_records_of(user)})
    return Q(**{f"{path}__practice": user.practice_id})


def _at_sites_of(user: User) -> Q:
    """Seen at a site where `user` works, or opened by them in an emergency and not expired. A record that was
    merged is known where the one that holds it is.
    """
    opened = EmergencyAccess.objects.filter(user=user, ended_at=None, expires_at__gt=timezone.now())
    return _seen_at_sites_of(user) | _of_record(opened)


def _seen_at_sites_of(user: User) -> Q:
    return _of_record(PatientSite.objects.filter(site__staff=user))


def _of_record(rows: QuerySet[Any]) -> Q:
    """Whether one of these rows is of the record, or of the one that holds it."""
    own, holder = (rows.filter(patient=OuterRef(name)) for name in ("pk", "merged_into"))
    return Q(Exists(own)) | Q(Exists(holder))
