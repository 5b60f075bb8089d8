"""Every read of a visit. Each begins at the patients' door."""

import uuid

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from charting.patients.access import charts_of, patients_of
from charting.staff.models import User
from charting.staff.rights import may
from charting.visits.models import Visit


def visits_of(user: User) -> QuerySet[Visit]:
    """The visits whose record this member of staff may open."""
    known = Visit.objects.select_related("patient__practice", "clinician", "episode")
    return known.filter(patient__in=charts_of(user))


def open_visit(user: User, visit_id: uuid.UUID) -> Visit:
    """One visit for reading or writing its record. Raises Http404 when it is not this user's to open."""
    return get_object_or_404(visits_of(user), pk=visit_id)


def visit_to_hand_over(user: User, visit_id: uuid.UUID) -> Visit:
    """One visit whose board may be given to the patient, also by somebody who may not read the chart."""
    return get_object_or_404(
        Visit.objects.select_related("patient").filter(patient__in=patients_of(user), signed_at=None),
        pk=visit_id,
    )


def unsigned_visits(user: User) -> QuerySet[Visit]:
    """The visits still open, newest first; also for who may not read them, to hand the device over."""
    visits = Visit.objects.select_related("patient", "clinician")
    return visits.filter(patient__in=patients_of(user), signed_at=None)


def signed_visits(user: User) -> QuerySet[Visit]:
    """The signed visits this member of staff may open, signed last first."""
    return visits_of(user).exclude(signed_at=None).order_by("-signed_at")


def is_further(visit: Visit) -> bool:
    """Whether the person was here before about the same complaint."""
    earlier = Visit.objects.filter(patient=visit.patient_id, started_at__lt=visit.started_at)
    return earlier.filter(episode=visit.episode_id).exclude(pk=visit.pk).exists()


def may_write(user: User, visit: Visit) -> bool:
    """Whether this member of staff may still record something in this visit."""
    return may(user, "treat") and not visit.is_signed
