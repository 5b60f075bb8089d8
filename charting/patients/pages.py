"""What the pages about a person may use."""

import uuid
from dataclasses import dataclass
from typing import Any, ClassVar

from charting.drafts.models import Draft
from charting.patients.forms import PatientForm
from charting.patients.models import Patient
from charting.patients.queries import MOST, Found, search
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.rights import may


@dataclass(frozen=True)
class PatientsPage:
    """The search and what it found."""

    MOST: ClassVar[int] = MOST

    text: str
    found: Found


@dataclass(frozen=True)
class VisitLine:
    """One visit in the list of a person. `opens` is false for staff who may not read the chart."""

    visit: Any
    opens: bool
    may_hand_over: bool


@dataclass(frozen=True)
class PatientPage:
    """One person, the visits, and what a new visit needs."""

    patient: Patient
    visits: tuple[VisitLine, ...]
    open_visit: VisitLine | None
    new_visit: uuid.UUID
    starts_own: bool
    clinicians: tuple[User, ...]


@dataclass(frozen=True)
class PatientFormPage:
    """The form for a new or a known person.

    `known` are people who may be the same; `clashes` are (label, on record, typed) after two saves at once.
    """

    form: PatientForm
    draft_key: str
    draft: Draft | None = None
    patient: Patient | None = None
    known: tuple[Patient, ...] = ()
    clashes: tuple[tuple[str, Any, Any], ...] = ()


def patients_page(user: User, text: str) -> PatientsPage:
    return PatientsPage(text, search(user, text))


def patient_page(user: User, patient: Patient) -> PatientPage:
    opens = may(user, "open chart")
    visits = tuple(
        VisitLine(visit, opens, not visit.is_signed) for visit in patient.visits.select_related("clinician")
    )
    starts_own = may(user, "treat")
    return PatientPage(
        patient=patient,
        visits=visits,
        open_visit=next((line for line in visits if opens and not line.visit.is_signed), None),
        new_visit=uuid.uuid4(),
        starts_own=starts_own,
        clinicians=() if starts_own else clinicians_beside(user),
    )


def clashes_of(form: PatientForm, current: Patient) -> tuple[tuple[str, Any, Any], ...]:
    """Where the typed values differ from those that somebody else saved meanwhile."""
    return tuple(
        (
            str(form.fields[name].label or name.replace("_", " ").capitalize()),
            _in_words(name, getattr(current, name)),
            _in_words(name, typed),
        )
        for name, typed in form.about().items()
        if getattr(current, name) != typed
    )


def _in_words(name: str, value: Any) -> Any:
    return Patient.Sex(value).label if name == "sex" else value
