"""The one file: a ZIP that is written while it is read, with a page to begin at."""

import json
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model
from django.template.loader import render_to_string
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.contacts.models import Contact
from charting.exchange.fhir import bundle
from charting.exchange.fhir.reading import KeptVisit, kept, persons, visits_of
from charting.exchange.fhir.words import Section, beside_of, sections_of
from charting.exchange.whole import files, looked, rows
from charting.exchange.whole.files import File
from charting.notes.models import AmendmentRequest
from charting.patients.models import Patient
from charting.patients.queries import of_person, of_person_or_visit
from charting.staff.models import User

GROUPS = (
    ("letters", "Reports, letters and summaries"),
    ("given-out", "Papers given out"),
    ("from-others", "Papers from others"),
)


@dataclass(frozen=True)
class VisitShown:
    """A visit on the first page: the note in words, and its files."""

    one: KeptVisit
    sections: list[Section]
    beside: list[Section]
    files: tuple[File, ...]


@dataclass(frozen=True)
class FirstPage:
    """What the page to begin at may use."""

    patient: Patient
    at: datetime
    visits: tuple[VisitShown, ...]
    groups: tuple[tuple[str, tuple[File, ...]], ...]
    merged: tuple[Patient, ...]
    contacts: tuple[Contact, ...]
    requests: tuple[AmendmentRequest, ...]


def streamed(person: Patient, *, at: datetime) -> Iterator[bytes]:
    """The ZIP, piece by piece: at no moment more than one of its files is held. `at`: when it is made."""
    sink = _Sink()
    with zipfile.ZipFile(sink, "w") as whole:
        for file in _every(person, at):
            how = zipfile.ZIP_STORED if file.is_pressed else zipfile.ZIP_DEFLATED
            entry = zipfile.ZipInfo(file.name, at.astimezone(person.practice.zone).timetuple()[:6])
            entry.compress_type, entry.external_attr = how, 0o644 << 16
            whole.writestr(entry, file.read())
            yield sink.taken()
    yield sink.taken()


def _every(person: Patient, at: datetime) -> Iterator[File]:
    people = persons(person)
    shown = tuple(_shown(number, visit) for number, visit in enumerate(visits_of(people), 1))
    others = tuple(files.beside_the_visits(person))
    page = FirstPage(person, at, shown, _grouped(others), people[1:], _contacts(person), _requests(person))
    yield File("index.html", "", "", lambda: _page("exchange/whole/index.html", person, page=page))
    for one in shown:
        yield from one.files
    yield from others
    yield File("fhir-bundle.json", "", "", lambda: as_json(bundle.of_patient(person, at=at)))
    held = dict(rows.rows_of(people))
    entries = looked.entries_about(person, held)
    yield File("record.json", "", "", lambda: as_json(_record(person, at, held, entries)))
    told = {"patient": person, "at": at, "entries": entries}
    yield File("who-looked.html", "", "", lambda: _page("exchange/whole/who_looked.html", person, **told))


def as_json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, indent=1).encode()


def _shown(number: int, visit: Any) -> VisitShown:
    one = kept(visit)
    folder = f"visits/{number:02}-{files.day_of(visit.started_at, visit.patient)}"
    held = tuple(files.of_visit(one, folder))
    return VisitShown(one, sections_of(one.content), beside_of(one.content), held)


def _contacts(person: Patient) -> tuple[Contact, ...]:
    """Calls and messages as they stand: a line that a later one corrects is in record.json alone."""
    rows = Contact.objects.filter(of_person(person), corrected_by=None)
    return tuple(rows.select_related("written_by").order_by("happened_at"))


def _requests(person: Patient) -> tuple[AmendmentRequest, ...]:
    rows = AmendmentRequest.objects.filter(of_person_or_visit(person))
    return tuple(rows.prefetch_related("steps").order_by("received_on"))


def _grouped(others: Sequence[File]) -> tuple[tuple[str, tuple[File, ...]], ...]:
    found = ((title, tuple(one for one in others if one.group == group)) for group, title in GROUPS)
    return tuple((title, held) for title, held in found if held)


def _page(template: str, person: Patient, **context: Any) -> bytes:
    """By the clock of the practice: whoever asked for the file may be gone when it is written."""
    with timezone.override(person.practice.zone):
        return render_to_string(template, context).encode()


def _record(
    person: Patient, at: datetime, held: dict[type[Model], list[Model]], entries: Sequence[AuditEntry]
) -> dict[str, Any]:
    """Every row by table, with the names of the staff whose numbers stand in them."""
    staff = User.objects.filter(practice=person.practice).order_by("pk")
    return {
        "format": "record-1",
        "made_at": at.isoformat(),
        "patient": str(person.pk),
        "staff": {str(user.pk): str(user) for user in staff},
        "rows": {
            model._meta.model_name: [rows.as_data(row) for row in found] for model, found in held.items()
        },
        "who_looked": [rows.as_data(entry) for entry in entries],
    }


class _Sink:
    """Something to write to that cannot be wound back; what was written is taken away piece by piece."""

    def __init__(self) -> None:
        self._held: list[bytes] = []

    def write(self, data: bytes) -> int:
        self._held.append(bytes(data))
        return len(data)

    def flush(self) -> None:
        """There is nothing between this and who takes it."""

    def close(self) -> None:
        """What is held can still be taken."""

    def taken(self) -> bytes:
        held, self._held = b"".join(self._held), []
        return held
