"""The one door to patient data: every read of it starts here, from the member of staff who asks."""

from django.db.models import QuerySet

from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may


def patients_of(user: User) -> QuerySet[Patient]:
    """The patients this member of staff may know of: those of the own practice, or none."""
    if user.practice_id is None or not may(user, "register"):
        return Patient.objects.none()
    return Patient.objects.filter(practice_id=user.practice_id)


def charts_of(user: User) -> QuerySet[Patient]:
    """The patients whose clinical record this member of staff may open."""
    return patients_of(user) if may(user, "open chart") else Patient.objects.none()
