"""What the visits left: episodes, visits, appointments, signed notes."""

import hashlib
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from charting.appointments.models import Appointment
from charting.episodes.models import Episode
from charting.management.scale.bulk import Ready
from charting.management.scale.people import Staff, new_id, words
from charting.management.scale.plan import MINUTES, Coming
from charting.notes.models import SignedNote
from charting.patients.models import Patient
from charting.report.content import assemble, canonical
from charting.report.papers import day, moment
from charting.visits.models import Visit

# What stands for person and visit until they are filled in.
PATIENT, VISIT = "@patient", "@visit"
SIGNED_AFTER = timedelta(minutes=MINUTES + 5)


def episodes(
    known: Staff,
    people: Sequence[Patient],
    last: Mapping[int, datetime],
    today: datetime,
    dice: random.Random,
) -> list[Episode]:
    """One for each person, closed where they did not come for half a year."""
    old = today - timedelta(days=182)
    return [
        Episode(
            id=new_id(dice),
            patient_id=person.pk,
            title=dice.choice(words()["reasons"]),
            opened_at=person.created_at,
            opened_by_id=known.desk.pk,
            closed_at=last[at] + SIGNED_AFTER if last[at] < old else None,
        )
        for at, person in enumerate(people)
    ]


def visits(
    known: Staff,
    people: Sequence[Patient],
    cared: Sequence[Episode],
    planned: Sequence[Coming],
    dice: random.Random,
) -> list[Visit]:
    return [
        Visit(
            id=new_id(dice),
            patient_id=people[one.person].pk,
            clinician_id=known.clinicians[one.clinician].pk,
            episode_id=cared[one.person].pk,
            started_at=one.at,
            signed_at=one.at + SIGNED_AFTER,
        )
        for one in planned
    ]


def appointments(known: Staff, made: Sequence[Visit], dice: random.Random) -> Iterator[Appointment]:
    """The one that each visit was begun from."""
    for visit in made:
        yield Appointment(
            id=new_id(dice),
            patient_id=visit.patient_id,
            clinician_id=visit.clinician_id,
            starts_at=visit.started_at,
            minutes=MINUTES,
            state=Appointment.State.FULFILLED,
            arrived_at=visit.started_at - timedelta(minutes=5),
            visit_id=visit.pk,
            made_by_id=known.desk.pk,
            made_at=visit.started_at - timedelta(days=7),
        )


@dataclass(frozen=True)
class Light:
    """The content of a note about an empty visit, written down but for the person and the visit: a few
    kilobytes, without the figures. `parts` are what stands before, between and after those two.
    """

    visit: dict[str, Any]
    parts: tuple[str, str, str]

    @staticmethod
    def of(visit: Visit) -> "Light":
        content = assemble(visit)
        danger = {key: [] if isinstance(said, list) else said for key, said in content["danger"].items()}
        content |= {"danger": danger, "drawing": {**content["drawing"], "views": []}}
        whole = canonical({**content, "patient": PATIENT, "visit": VISIT}).decode()
        before, rest = whole.split(f'"{PATIENT}"')
        between, after = rest.split(f'"{VISIT}"')
        return Light(content["visit"], (before, between, after))

    def filled(self, patient: dict[str, Any], visit: dict[str, Any]) -> str:
        """As report.content.canonical writes it: its keys stand in this order."""
        before, between, after = self.parts
        held = canonical({**self.visit, **visit}).decode()
        return "".join((before, canonical(patient).decode(), between, held, after))


def notes(
    known: Staff, people: Sequence[Patient], planned: Sequence[Coming], made: Sequence[Visit], light: Light
) -> Iterator[SignedNote]:
    zone = known.practice.time_zone
    names = [str(each) for each in known.clinicians]
    for one, visit in zip(planned, made, strict=True):
        told = Ready(light.filled(*_told(people[one.person], visit, names[one.clinician], zone)))
        yield SignedNote(
            visit_id=visit.pk,
            signed_by_id=visit.clinician_id,
            signer_name=names[one.clinician],
            signed_at=visit.started_at + SIGNED_AFTER,
            time_zone=zone,
            content=told,
            content_sha256=hashlib.sha256(told.encode()).hexdigest(),
        )


def _told(person: Patient, visit: Visit, clinician: str, zone: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Who and when, as report.content says them."""
    born = {"born": day(person.birth_date), "birth_date": person.birth_date.isoformat()}
    age = person.age_on(visit.started_at.date())
    who = {"name": person.name, "age": age, "record_number": person.record_number, **born}
    when = {"started_at": visit.started_at.isoformat(), "day": day(visit.started_at)}
    by = {"clinician": {"name": clinician, "title": "", "registration": ""}}
    return who, {"id": str(visit.pk), "when": moment(visit.started_at, zone), **by, **when}
