"""What else a busy practice holds: the log of contacts, the day ahead, notes that wait, the trail."""

import random
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import islice

from charting.appointments.models import Appointment
from charting.audit import chain
from charting.audit.models import AuditEntry
from charting.contacts.models import Contact
from charting.episodes.models import Episode
from charting.management.scale.people import Staff, new_id
from charting.management.scale.plan import MINUTES, OPENS
from charting.management.scale.visits import SIGNED_AFTER
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit

OPEN_FOLLOW_UPS, OPEN_VISITS = 40, 2
IN_A_DAY = 16


def contacts(known: Staff, people: Sequence[Patient], dice: random.Random) -> Iterator[Contact]:
    """A call from each person; the last of them wait for an answer."""
    for at, person in enumerate(people):
        called = person.created_at + timedelta(days=3)
        yield Contact(
            id=new_id(dice),
            patient_id=person.pk,
            way=Contact.Way.CALL_FROM,
            happened_at=called,
            words="Asked whether the exercises may be done twice a day.",
            needs_follow_up=at >= len(people) - OPEN_FOLLOW_UPS,
            written_by_id=known.desk.pk,
            written_at=called,
        )


def in_the_room(
    known: Staff, people: Sequence[Patient], cared: Sequence[Episode], now: datetime, dice: random.Random
) -> Iterator[Visit]:
    """A few open visits of today for each clinician."""
    for clinician in known.clinicians:
        for _ in range(OPEN_VISITS):
            at = dice.randrange(len(people))
            ids = {"patient_id": people[at].pk, "clinician_id": clinician.pk, "episode_id": cared[at].pk}
            yield Visit(id=new_id(dice), started_at=now - timedelta(minutes=dice.randrange(60)), **ids)


def expected(
    known: Staff, people: Sequence[Patient], days: Sequence[datetime], dice: random.Random
) -> Iterator[Appointment]:
    """A full day for each clinician on each of `days` (each at midnight)."""
    for day in days:
        for clinician in known.clinicians:
            for place in range(IN_A_DAY):
                starts = day + timedelta(hours=OPENS, minutes=MINUTES * place)
                yield Appointment(
                    id=new_id(dice),
                    patient_id=dice.choice(people).pk,
                    clinician_id=clinician.pk,
                    starts_at=starts,
                    minutes=MINUTES,
                    made_by_id=known.desk.pk,
                    made_at=day - timedelta(days=14),
                )


def trail(known: Staff, made: Sequence[Visit]) -> Iterator[AuditEntry]:
    """A row for each visit, linked to what the chain of the practice ends with."""
    by_pk = {one.pk: one for one in known.clinicians}
    seq, previous = chain.head(known.practice.pk)
    rows = (_row(known, visit, by_pk[visit.clinician_id]) for visit in made)
    while part := list(islice(rows, 1000)):
        chain.join(part, known.practice.pk, seq, previous)
        seq, previous = part[-1].seq, part[-1].hash
        yield from part


def _row(known: Staff, visit: Visit, who: User) -> AuditEntry:
    return AuditEntry(
        at=visit.started_at + SIGNED_AFTER,
        practice_id=known.practice.pk,
        actor_id=who.pk,
        actor=str(who),
        role=who.role,
        action="signed note",
        object_type="visit",
        object_id=str(visit.pk),
    )
