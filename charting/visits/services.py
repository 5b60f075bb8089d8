"""Every write to a visit itself, and the guard that every write inside a visit begins with."""

import uuid

from django.core.exceptions import PermissionDenied
from django.db import transaction

from charting.audit.services import record
from charting.episodes.services import About, find_or_begin
from charting.patients.access import patients_of
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may, require
from charting.visits.models import Visit

# What is open is gone on with, and the first complaint of all begins.
NOTHING_SAID = About()


class VisitSigned(PermissionDenied):
    """The note is signed: what was recorded in this visit is closed."""

    def __init__(self) -> None:
        super().__init__("This visit is signed, so it can't change any more. Write an addendum to its note.")


def require_open(visit: Visit) -> None:
    """Raise VisitSigned when the visit is signed. Call it first, inside the transaction of the write.

    Locks the visit's row, so that nothing slips in while its note is being signed (SQLite has one
    writer for the whole file and needs no lock).
    """
    if Visit.objects.select_for_update().values_list("signed_at", flat=True).get(pk=visit.pk) is not None:
        raise VisitSigned


@transaction.atomic
def start(
    *,
    who: User,
    patient: Patient,
    clinician: User,
    id: uuid.UUID,  # noqa: A002 - the column
    about: About = NOTHING_SAID,
) -> Visit:
    """Begin a visit of `patient` with `clinician`. Sending the same `id` again gives the visit made before.

    Somebody who may not treat starts it for a colleague who may. Raises PermissionDenied; AskWhich when
    every episode of the person is discharged and `about` says nothing; NotDone.
    """
    require(who, "register")
    # Two visits that begin at once wait for each other here: they make one episode.
    known = patients_of(who).select_for_update().filter(pk=patient.pk).first()
    if known is None or clinician.practice_id != who.practice_id:
        raise PermissionDenied("This person is registered with another practice.")
    if not may(clinician, "treat"):
        raise PermissionDenied(f"{clinician} does not treat patients.")
    if not clinician.every_site and not patients_of(clinician).filter(pk=patient.pk).exists():
        raise PermissionDenied(f"{clinician} works at none of the sites where this person is seen.")
    visit = Visit.objects.filter(pk=id).first()
    made = visit is None
    if visit is None:
        episode = find_or_begin(who=who, patient=patient, about=about)
        visit = Visit.objects.create(id=id, patient=patient, clinician=clinician, episode=episode)
    if visit.patient_id != patient.pk:
        raise PermissionDenied("Open the page of this patient once more.")
    if made:
        record(who=who, did="started visit", what=visit, clinician=clinician.pk)
    return visit


@transaction.atomic
def put_into(*, who: User, visit: Visit, about: About) -> Visit:
    """Say that an open visit is about another complaint. What it leaves without visit and event goes.

    Raises NotDone; VisitSigned; PermissionDenied.
    """
    require(who, "treat")
    if not patients_of(who).select_for_update().filter(pk=visit.patient_id).first():
        raise PermissionDenied("This person is registered with another practice.")
    require_open(visit)
    left = visit.episode
    visit.episode = find_or_begin(who=who, patient=visit.patient, about=about)
    visit.save(update_fields=["episode"])
    if left and not left.visits.exists() and not left.events.exists():
        left.delete()
    record(who=who, did="changed complaint of visit", what=visit, episode=str(visit.episode_id))
    return visit
