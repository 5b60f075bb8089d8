"""What the pages about a person may use."""

from dataclasses import dataclass
from typing import Any, ClassVar

from charting.drafts.models import Draft
from charting.patients.forms import PatientForm
from charting.patients.models import Patient
from charting.patients.queries import MOST, Found, search
from charting.staff.models import User
from charting.staff.rights import may


@dataclass(frozen=True)
class PatientsPage:
    """The search and what it found; whether lists may be brought and records be merged."""

    MOST: ClassVar[int] = MOST

    text: str
    found: Found
    may_import: bool = False
    may_merge: bool = False
    # Somebody of another site, in an emergency: only who does not work at every site.
    may_break_glass: bool = False


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
    return PatientsPage(
        text,
        search(user, text),
        may_import=may(user, "import people"),
        may_merge=may(user, "merge records"),
        may_break_glass=may(user, "break glass") and not user.every_site,
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
