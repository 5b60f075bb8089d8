"""What the pages about visits may use."""

import uuid
from dataclasses import dataclass

from charting.episodes.models import Episode, EpisodeEvent
from charting.episodes.queries import episodes_of, last_discharge
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.rights import may
from charting.visits.forms import ComplaintForm, called
from charting.visits.models import Visit


@dataclass(frozen=True)
class VisitLine:
    """One visit in the list of a person. `opens` is false for staff who may not read the chart."""

    visit: Visit
    opens: bool

    @property
    def may_hand_over(self) -> bool:
        return not self.visit.is_signed


@dataclass(frozen=True)
class Care:
    """The visits for one complaint, newest first; `episode` is None for staff who may not read the chart, and
    for visits of before there were episodes. `discharge` is the one that stands.
    """

    called: str
    episode: Episode | None
    lines: tuple[VisitLine, ...]
    discharge: EpisodeEvent | None = None


@dataclass(frozen=True)
class CarePage:
    """The visits of one person by complaint, those under care first, and what a new visit needs."""

    patient: Patient
    cares: tuple[Care, ...]
    open_visit: VisitLine | None
    new_visit: uuid.UUID
    starts_own: bool
    clinicians: tuple[User, ...]

    @property
    def under_care(self) -> tuple[Care, ...]:
        return tuple(care for care in self.cares if care.episode and care.episode.is_open)

    @property
    def asks_which(self) -> bool:
        """Every complaint is discharged: the next visit says what it is about."""
        return not self.under_care and any(care.episode for care in self.cares)


@dataclass(frozen=True)
class WhichPage:
    """What a visit is about; the answer is sent to `action`. `visit` is one that has begun already."""

    patient: Patient
    form: ComplaintForm
    action: str
    visit: Visit | None = None


def care_page(user: User, patient: Patient) -> CarePage:
    """A fixed number of queries."""
    opens, treats = may(user, "open chart"), may(user, "treat")
    lines = tuple(VisitLine(visit, opens) for visit in patient.visits.select_related("clinician"))
    return CarePage(
        patient=patient,
        cares=_cares(patient, lines) if opens else _together(lines),
        open_visit=next((line for line in lines if opens and not line.visit.is_signed), None),
        new_visit=uuid.uuid4(),
        starts_own=treats,
        clinicians=() if treats else clinicians_beside(user),
    )


def which_page(patient: Patient, form: ComplaintForm, action: str, visit: Visit | None = None) -> WhichPage:
    return WhichPage(patient, form, action, visit)


def _cares(patient: Patient, lines: tuple[VisitLine, ...]) -> tuple[Care, ...]:
    of: dict[uuid.UUID | None, list[VisitLine]] = {}
    for line in lines:
        of.setdefault(line.visit.episode_id, []).append(line)
    known = tuple(
        Care(called(each, patient), each, tuple(of.get(each.pk, ())), last_discharge(each))
        for each in episodes_of(patient)
    )
    return known + _together(tuple(of.get(None, ())))


def _together(lines: tuple[VisitLine, ...]) -> tuple[Care, ...]:
    return (Care("", None, lines),) if lines else ()
