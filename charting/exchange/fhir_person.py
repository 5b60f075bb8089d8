"""A person from another system (FHIR R4): recognised by number or by name and birth date, then taken in."""

from collections.abc import Iterator, Mapping
from typing import Any

from charting.exchange import numbers
from charting.exchange.fhir import codes
from charting.exchange.fhir.patient_read import NotRead, ReadPatient, patients_in
from charting.exchange.plans import Choice, NotDone, Plan, Question, Refused, Step
from charting.patients import services
from charting.patients.forms import PatientForm
from charting.patients.models import Patient
from charting.patients.queries import likely_same
from charting.staff.models import User
from charting.versioning import Stale

NEW, LEAVE, CHANGE, SAME = "new", "leave", "change", "same"
AS_NEW = Choice(NEW, "Registered as a new person")
ALL_THE_SAME = Choice(NEW, "Register as a new person all the same")
LEFT = Choice(LEAVE, "Left as it is on record")
TAKE_OVER = Choice(CHANGE, "Take over what the file says where the two differ")
LABELS = {"birth_date": "Born", "email": "E-mail", "emergency_name": "Emergency contact"}
# Numbers of our own kind: by them a person is recognised, and nobody reads them.
OURS = ("urn:x-tautline:", codes.system("uri"))


class PersonReader:
    """Reader of a Patient in HL7 FHIR R4, alone or within a Bundle (charting.exchange.plans.Reader)."""

    title = "Import a person (FHIR)"
    help_text = (
        "A file in HL7 FHIR R4, JSON: a Patient, or a Bundle that holds one. Name, birth date, sex, how to "
        "reach the person and the numbers of the other system are taken over; what was found and written "
        "elsewhere is not."
    )
    suffixes = ".json,application/fhir+json,application/json"
    most_bytes = 50 * 1024 * 1024
    questions: tuple[Question, ...] = ()

    def plan(self, user: User, content: bytes, said: Mapping[str, str]) -> Plan:
        try:
            found = patients_in(content)
        except NotRead as problem:
            return Plan((), (Refused("The file", str(problem)),))
        refused = tuple(
            Refused(f"Person {one.place} ({one.name}), {member}", why)
            for one in found
            for member, why in one.wrong
        )
        steps = tuple(_step(user, one) for one in found if not one.wrong)
        return Plan(steps, refused, ("Read as HL7 FHIR R4 in JSON.",))

    def take_in(self, who: User, plan: Plan, decided: Mapping[str, str]) -> dict[str, list[str]]:
        made, changed, left = [], [], []
        for step in plan.steps:
            choice = decided[step.key]
            if choice == LEAVE:
                left.append(f"{step.where}: {step.name}")
            elif choice == NEW:
                made.append(str(_register(who, step).pk))
            else:
                changed.append(str(_change(who, step, choice).pk))
        if not (made or changed):
            raise NotDone("Nothing of this file would be taken in. Leave the file instead.")
        return {"made": made, "changed": changed, "left": left}


def _step(user: User, one: ReadPatient) -> Step:
    by_number = numbers.known_by(user, one.numbers)
    name = {part: one.about[part] for part in ("family_name", "given_names", "birth_date")}
    known = by_number or likely_same(user, **name)
    clashes = tuple(_clashes(known[0], one.about)) if len(known) == 1 else ()
    return Step(
        key=f"person-{one.place}",
        where=f"Person {one.place}",
        name=one.name,
        said=tuple(_said(one)),
        choices=_choices(bool(by_number), known, bool(clashes)),
        is_asked=bool(known) and (bool(clashes) or not by_number),
        known=known,
        notes=(*_recognised(by_number, known), *one.notes),
        clashes=clashes,
        values=one,
    )


def _choices(is_sure: bool, known: tuple[Patient, ...], differs: bool) -> tuple[Choice, ...]:
    if not known:
        return (AS_NEW,)
    if len(known) > 1:
        # Which of them it is cannot be told from here: merge them first, or take the person as new.
        return (LEFT,) if is_sure else (LEFT, ALL_THE_SAME)
    same = Choice(SAME, "It is this person: keep what is on record, and the numbers of the other system")
    return (LEFT, same, *([TAKE_OVER] if differs else []), *([] if is_sure else [ALL_THE_SAME]))


def _recognised(by_number: tuple[Patient, ...], known: tuple[Patient, ...]) -> Iterator[str]:
    if len(known) > 1:
        yield "Several people here may be meant. Merge them first if they are one."
    elif by_number:
        yield "Recognised by a number that is on record here."
    elif known:
        yield "Perhaps registered already: same birth date, similar name."


def _clashes(patient: Patient, about: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """What the file says otherwise. What it does not say at all stays as it is on record."""
    for name, value in _over(patient, about).items():
        if value != getattr(patient, name):
            yield _label(name), _words(name, getattr(patient, name)), _words(name, value)


def _over(patient: Patient, about: Mapping[str, Any]) -> dict[str, Any]:
    """The values on record with those of the file over them."""
    mine = {name: getattr(patient, name) for name in PatientForm.ABOUT}
    said = {name: value for name, value in about.items() if value not in ("", Patient.Sex.UNKNOWN)}
    return {**mine, **said}


def _said(one: ReadPatient) -> Iterator[tuple[str, str]]:
    for name in PatientForm.ABOUT:
        value = one.about[name]
        if name not in ("family_name", "given_names") and value not in ("", Patient.Sex.UNKNOWN):
            yield _label(name), _words(name, value)
    for system, value in one.numbers:
        if not system.startswith(OURS):
            yield "Number elsewhere", f"{value} ({system})"


def _label(name: str) -> str:
    return LABELS.get(name, name.replace("_", " ").capitalize())


def _words(name: str, value: Any) -> str:
    if name == "birth_date":
        return f"{value.day} {value:%B} {value.year}"
    return str(Patient.Sex(value).label) if name == "sex" else str(value)


def _register(who: User, step: Step) -> Patient:
    one: ReadPatient = step.values
    patient = services.register(who=who, all_the_same=True, **one.about)
    numbers.keep(who=who, patient=patient, numbers=one.numbers)
    return patient


def _change(who: User, step: Step, choice: str) -> Patient:
    one: ReadPatient = step.values
    (patient,) = step.known
    if choice == CHANGE:
        try:
            about = _over(patient, one.about)
            patient = services.change(who=who, patient=patient, version=patient.version, **about)
        except Stale:
            raise NotDone(f"{step.name} was changed meanwhile. Look at the file again.") from None
    numbers.keep(who=who, patient=patient, numbers=one.numbers)
    return patient
