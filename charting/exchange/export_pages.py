"""What the page for giving out a record may use."""

from dataclasses import dataclass

from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import visits_of


@dataclass(frozen=True)
class ExportPage:
    """`visits`: the newest first; those without a signature are given out as preliminary."""

    patient: Patient
    visits: tuple[Visit, ...]

    @property
    def open_count(self) -> int:
        return sum(not visit.is_signed for visit in self.visits)


def export_page(user: User, patient: Patient) -> ExportPage:
    return ExportPage(patient, tuple(visits_of(user).filter(patient=patient)))
