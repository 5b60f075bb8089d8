"""What the pages of adverse events may use."""

from dataclasses import dataclass
from typing import Any

from charting.drafts.models import Draft
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may
from charting.treatment import adverse
from charting.treatment.adverse import Kind
from charting.treatment.adverse_forms import EventForm
from charting.treatment.adverse_queries import Listed, events_of
from charting.treatment.adverse_services import draft_key


@dataclass(frozen=True)
class EventLine:
    """One event as it is listed."""

    listed: Listed
    label: str
    severity: str

    @property
    def event(self) -> Any:
        return self.listed.event


@dataclass(frozen=True)
class EventsPage:
    patient: Patient
    lines: tuple[EventLine, ...]
    form: EventForm
    may_write: bool
    kinds: tuple[Kind, ...]
    draft_key: str
    draft: Draft | None


@dataclass(frozen=True)
class FurtherPage:
    """One event to be followed up or corrected: `verb` says which."""

    patient: Patient
    line: EventLine
    verb: str
    form: Any
    draft_key: str
    draft: Draft | None


def events_page(user: User, patient: Patient, form: EventForm, draft: Draft | None = None) -> EventsPage:
    lines = tuple(line_of(one) for one in events_of(patient))
    kinds = tuple(kind for kind in adverse.load().kinds.values() if kind.think)
    return EventsPage(patient, lines, form, may(user, "treat"), kinds, draft_key(patient), draft)


def line_of(one: Listed) -> EventLine:
    severity = adverse.load().severities[one.event.severity].label
    return EventLine(one, adverse.label_of(one.event.what), severity)
