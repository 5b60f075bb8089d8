"""Write the FHIR bundle of a person or the FHIR document of a visit to a file."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from charting.exchange.export_services import as_json, bundle_of_person, bundle_of_visit
from charting.exchange.fhir.checks import problems_in
from charting.patients.models import Patient
from charting.staff.models import Practice
from charting.staff.queries import practice_named
from charting.staff.services import CommandLine
from charting.visits.models import Visit

Found = dict[str, Any]


class Command(BaseCommand):
    """manage.py export_bundle (--patient NUMBER | --visit ID) --output FILE ("-": standard output).

    Exit 2 with one line when it cannot be done; exit 3 when the bundle was written and breaks a rule of FHIR
    that we know of, each named on standard error.
    """

    help = "Write a person (by record number or id) or a visit (by id) as HL7 FHIR R4."

    def add_arguments(self, parser: CommandParser) -> None:
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("--patient", metavar="NUMBER", help="record number, or id of the person")
        which.add_argument("--visit", metavar="ID", help="id of the visit")
        parser.add_argument(
            "--output", required=True, metavar="FILE", help="where to write; - is standard output"
        )
        parser.add_argument("--practice", default="", help="name of the practice, where there are several")

    def handle(
        self,
        *args: Any,
        patient: str | None,
        visit: str | None,
        output: str,
        practice: str,
        **options: Any,
    ) -> None:
        try:
            held = practice_named(practice)
            found = _of_person(held, patient) if patient else _of_visit(held, visit or "")
        except LookupError as error:
            raise CommandError(str(error), returncode=2) from None
        self._write(found, output)
        problems = problems_in(found)
        if problems:
            raise CommandError("\n".join(problems), returncode=3)

    def _write(self, found: Found, output: str) -> None:
        if output == "-":
            self.stdout.write(as_json(found).decode(), ending="")
            return
        try:
            Path(output).write_bytes(as_json(found))
        except OSError as error:
            raise CommandError(f"{output} cannot be written: {error.strerror}", returncode=2) from None
        self.stdout.write(f"{len(found['entry'])} resources written to {output}.")


def _of_person(practice: Practice, said: str) -> Found:
    people = Patient.objects.filter(practice=practice).select_related("practice")
    wanted = {"record_number": int(said)} if said.isdecimal() else {"pk": _id(said)}
    person = people.filter(**wanted).first()
    if person is None:
        raise LookupError(f"{practice} has no person with the number or id {said!r}.")
    return bundle_of_person(by=CommandLine(practice.pk), patient=person, at=timezone.now())


def _of_visit(practice: Practice, said: str) -> Found:
    visits = Visit.objects.filter(patient__practice=practice).select_related("patient__practice", "episode")
    visit = visits.filter(pk=_id(said)).first()
    if visit is None:
        raise LookupError(f"{practice} has no visit with the id {said!r}.")
    return bundle_of_visit(by=CommandLine(practice.pk), visit=visit, at=timezone.now())


def _id(said: str) -> uuid.UUID:
    try:
        return uuid.UUID(said)
    except ValueError:
        raise LookupError(f"{said!r} is neither a number nor an id.") from None
