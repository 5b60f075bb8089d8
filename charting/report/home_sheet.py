"""The home programme as the patient takes it along: what is printed on it."""

from dataclasses import dataclass

from charting.report.papers import day
from charting.staff.models import Practice
from charting.treatment.home import Programme, programme_of
from charting.visits.models import Visit


@dataclass(frozen=True)
class HomeSheet:
    """Everything on the paper, in words."""

    practice: Practice
    patient: str
    born: str
    record: int
    by: str
    day: str
    programme: Programme
    created: str


def home_sheet(visit: Visit) -> HomeSheet:
    """The programme of a visit, as it stands; empty where there is none."""
    patient = visit.patient
    held = visit.started_at.astimezone(patient.practice.zone)
    clinician = visit.clinician
    return HomeSheet(
        practice=patient.practice,
        patient=patient.name,
        born=day(patient.birth_date),
        record=patient.record_number,
        by=f"{clinician}, {clinician.title}" if clinician.title else str(clinician),
        day=day(held.date()),
        programme=programme_of(getattr(visit, "home_programme", None)),
        created=visit.started_at.isoformat(),
    )
