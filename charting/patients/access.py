"""The one door to patient data: every read of it starts here, from the member of staff who asks."""

from django.db.models import Q, QuerySet

from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may


def patients_of(user: User) -> QuerySet[Patient]:
    """The patients this member of staff may know of: those of the own practice, or none. A record that was
    merged into another is no longer one of them.
    """
    return records_of(user).filter(merged_into=None)


def charts_of(user: User) -> QuerySet[Patient]:
    """The patients whose clinical record this member of staff may open."""
    return patients_of(user) if may(user, "open chart") else Patient.objects.none()


def records_of(user: User) -> QuerySet[Patient]:
    """Those that were merged into another too: for reads of rows that stay under the record they were written
    for (queries.of_person). Never for a search or a write.
    """
    if user.practice_id is None or not may(user, "register"):
        return Patient.objects.none()
    return Patient.objects.filter(practice_id=user.practice_id)


def chart_records_of(user: User) -> QuerySet[Patient]:
    """The same, for who may open charts."""
    return records_of(user) if may(user, "open chart") else Patient.objects.none()


def in_charts_of(user: User, path: str) -> Q:
    """As chart_records_of, for very many rows that lead to their patient by `path`: by join."""
    return Q(**{f"{path}__practice": user.practice_id}) if may(user, "open chart") else Q(pk__in=[])
