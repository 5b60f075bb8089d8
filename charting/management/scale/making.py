"""A whole practice, in the order of its tables."""

import random
from collections.abc import Callable, Sequence
from datetime import datetime, time, timedelta

from django.utils import timezone

from charting.episodes.models import Episode
from charting.management.scale import beside, drawn, people, visits
from charting.management.scale.bulk import measure, put
from charting.management.scale.people import Staff
from charting.management.scale.plan import WORKING_DAYS, Coming, comings
from charting.management.scale.sizes import Sizes
from charting.patients.models import Patient
from charting.visits.models import Visit

DAYS_AHEAD = 28
SEED = 9
Say = Callable[[str], None]


def make(sizes: Sizes, password: str, say: Say) -> Staff:
    """Into an empty database; the same people each time. `say` is told of each step when it is done."""
    dice = random.Random(SEED)  # noqa: S311 - invented people
    known = people.staff(sizes.clinicians, password, dice)
    now = timezone.now().astimezone(known.practice.zone)
    planned = comings(sizes, now.date(), known.practice.zone, dice)
    last = {one.person: one.at for one in planned}
    first = {one.person: one.at for one in reversed(planned)}
    persons = people.patients(known, [first[at] for at in range(sizes.patients)], dice)
    cared = visits.episodes(known, persons, last, now, dice)
    put(iter(cared))
    say(f"{len(persons):,} people, each with an episode")
    held = _held(known, persons, cared, planned, dice, say)
    made = drawn.drawings(held[len(held) - sizes.drawings :], dice)
    put(drawn.strokes(made, dice))
    put(drawn.cells(made))
    say(f"{len(made):,} drawings")
    _beside(known, persons, cared, now, dice)
    put(beside.trail(known, held))
    say("what is to be followed up, the days ahead, the trail")
    measure()
    return known


def _held(
    known: Staff,
    persons: Sequence[Patient],
    cared: Sequence[Episode],
    planned: Sequence[Coming],
    dice: random.Random,
    say: Say,
) -> list[Visit]:
    held = visits.visits(known, persons, cared, planned, dice)
    put(iter(held))
    say(f"{len(held):,} visits")
    put(visits.appointments(known, held, dice))
    say("the appointment of each")
    any_visit = Visit.objects.select_related("patient__practice", "clinician").get(pk=held[0].pk)
    put(visits.notes(known, persons, planned, held, visits.Light.of(any_visit)))
    say("the signed note of each")
    return held


def _beside(
    known: Staff, persons: Sequence[Patient], cared: Sequence[Episode], now: datetime, dice: random.Random
) -> None:
    midnight = datetime.combine(now.date(), time(), now.tzinfo)
    days = (midnight + timedelta(days=later) for later in range(DAYS_AHEAD))
    working = [day for day in days if day.weekday() < WORKING_DAYS or day == midnight]
    put(beside.contacts(known, persons, dice))
    put(beside.in_the_room(known, persons, cared, now, dice))
    put(beside.expected(known, persons, working, dice))
