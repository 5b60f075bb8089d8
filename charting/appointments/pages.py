"""What the pages of appointments may use."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.utils import timezone

from charting.appointments.forms import AppointmentForm, EndForm, MissedForm, StandsForm
from charting.appointments.models import Appointment
from charting.appointments.queries import coming, day_of
from charting.appointments.services import WAITS
from charting.patients.models import Patient
from charting.patients.queries import Found, search
from charting.staff.models import User
from charting.staff.rights import may

# How far ahead the next visit usually is: common practice.
AHEAD = (("in a week", 7), ("in two weeks", 14), ("in four weeks", 28))


@dataclass(frozen=True)
class Ahead:
    """A day that is often chosen."""

    words: str
    day: date


@dataclass(frozen=True)
class AppointmentPage:
    """The form of one appointment, and what else is on its day. `appointment` is None for a new one.

    `taken` stands in the same time; `clashes` are (label, on record, typed) after two saves at once.
    """

    patient: Patient
    form: AppointmentForm
    day: date
    that_day: tuple[Appointment, ...]
    ahead: tuple[Ahead, ...] = ()
    appointment: Appointment | None = None
    taken: tuple[Appointment, ...] = ()
    clashes: tuple[tuple[str, Any, Any], ...] = ()
    cancel: EndForm | None = None
    missed: MissedForm | None = None
    # The button that was refused.
    stands: StandsForm | None = None
    may_end: bool = False

    @property
    def waits(self) -> bool:
        return self.appointment is not None and self.appointment.state in WAITS


@dataclass(frozen=True)
class WhoPage:
    """Whom an appointment is for."""

    day: date | None
    text: str
    found: Found


@dataclass(frozen=True)
class Coming:
    """The appointments of a person, for the page of the person."""

    patient: Patient
    appointments: tuple[Appointment, ...]


def new_page(
    user: User, patient: Patient, form: AppointmentForm, day: date | None, **more: Any
) -> AppointmentPage:
    today = timezone.localdate(timezone=patient.practice.zone)
    shown = day or today
    ahead = tuple(Ahead(words, today + timedelta(days=days)) for words, days in AHEAD)
    return AppointmentPage(patient, form, shown, day_of(user, shown), ahead=ahead, **more)


def one_page(user: User, row: Appointment, form: AppointmentForm, **more: Any) -> AppointmentPage:
    """`more` may hold a `day` that was typed, and a form that was sent in place of an empty one."""
    day = more.pop("day", None) or row.starts_at.astimezone(row.patient.practice.zone).date()
    usual = {"version": row.version}
    rest = {
        "cancel": EndForm(initial=usual, prefix="cancel"),
        "missed": MissedForm(initial={**usual, "needs_follow_up": True}, prefix="missed"),
        "may_end": may(user, "log contacts"),
        **more,
    }
    return AppointmentPage(row.patient, form, day, day_of(user, day), appointment=row, **rest)


def who_page(user: User, day: date | None, text: str) -> WhoPage:
    return WhoPage(day, text, search(user, text))


def coming_for(user: User, patient: Patient, now: datetime) -> Coming:
    return Coming(patient, coming(user, patient, now))


def clashes_of(form: AppointmentForm, current: Appointment) -> tuple[tuple[str, Any, Any], ...]:
    """Where the typed values differ from those that somebody else saved meanwhile."""
    theirs, yours = AppointmentForm.values_of(current), form.cleaned_data
    rows = (
        ("Date", f"{theirs['day']:%d %b %Y}", f"{yours['day']:%d %b %Y}"),
        ("Time", theirs["at"], f"{yours['at']:%H:%M}"),
        ("Minutes", theirs["minutes"], yours["minutes"]),
        ("With", current.clinician, form.clinicians[yours["clinician"]]),
        ("Reason", theirs["reason"], yours["reason"]),
    )
    state = (("State", current.get_state_display(), ""),) if current.state not in WAITS else ()
    return (*state, *(row for row in rows if row[1] != row[2]))
