"""Invented courses over weeks: an open episode of one person, with visits, scores, treatments, reactions."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from charting.appointments.models import Appointment
from charting.contacts.models import Contact
from charting.drawing.models import StoredStroke
from charting.episodes.models import Episode
from charting.examination.models import MuscleFinding, RangeReading
from charting.outcomes.models import OutcomeScore
from charting.treatment.models import AdverseEvent, HomeProgramme, TreatmentEntry
from charting.visits.models import Visit
from tests.charting import recorded

FIRST = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
# Days after the first visit: two within two days, so that pictures have to be lifted.
FIVE = (0, 2, 16, 44, 86)
PAIN = (7, 6, 5, None, 3)
WIDE, NARROW = 60, 24


def an_episode(patient, clinician, *, title="Right shoulder") -> Episode:
    return Episode.objects.create(patient=patient, opened_at=FIRST, opened_by=clinician, title=title)


def visits(episode: Episode, clinician, days: Sequence[int], *, signed: bool = True) -> list[Visit]:
    """Signed one hour after they began, but for the last, unless `signed`."""
    made = []
    for number, day in enumerate(days):
        visit = Visit.objects.create(patient=episode.patient, clinician=clinician, episode=episode)
        at = FIRST + timedelta(days=day)
        ends = at + timedelta(hours=1) if signed or number < len(days) - 1 else None
        Visit.objects.filter(pk=visit.pk).update(started_at=at)
        visit.refresh_from_db()
        made.append((visit, ends))
    return [_drawn_and_signed(visit, ends, number) for number, (visit, ends) in enumerate(made)]


def _drawn_and_signed(visit: Visit, ends: datetime | None, number: int) -> Visit:
    """The first two reach from the shoulder down the arm; later ones are smaller."""
    view, kind, places, _ = recorded.SHOULDER_ACHE
    nib = WIDE if number < 2 else NARROW
    recorded.draw(visit, (view, kind, places if number < 2 else places[:2], nib))
    if ends:
        Visit.objects.filter(pk=visit.pk).update(signed_at=ends)
        visit.refresh_from_db()
    return visit


def pain(visit: Visit, average: int | None, **members: int) -> None:
    if average is not None:
        OutcomeScore.objects.create(visit=visit, instrument="nprs", answers={"average": average, **members})


def treat(visit: Visit, muscle: str = "infraspinatus", technique: str = "pressure", **more) -> None:
    place = TreatmentEntry.objects.filter(visit=visit).count() + 1
    said = {"side": "right", "pain_before": 6, "pain_after": 3, "entered_by": visit.clinician, **more}
    TreatmentEntry.objects.create(visit=visit, muscle=muscle, technique=technique, position=place, **said)


def press(visit: Visit, *trials: int, tip: float = 1.0, site: str = "upper_belly") -> None:
    said = {"muscle": "infraspinatus", "side": "right", "site": site, "position": 1}
    pressed = {"unit": "kPa", "trials": list(trials), "tip_cm2": tip}
    MuscleFinding.objects.create(visit=visit, pressure=pressed, **said)


def turn(visit: Visit, active: float, instrument: str = "inclinometer") -> None:
    said = {"movement": "shoulder_flexion", "side": "right", "instrument": instrument}
    RangeReading.objects.create(visit=visit, active=active, **said)


def react(visit: Visit, after: timedelta = timedelta(days=1)) -> AdverseEvent:
    said = {"what": "bruise", "severity": "mild", "words": "The size of a coin, gone after four days."}
    at = visit.started_at + after
    return AdverseEvent.objects.create(
        patient=visit.patient, visit=visit, happened_at=at, recorded_by=visit.clinician, **said
    )


def log(patient, clinician, way: str, day: int, words: str) -> Contact:
    at = FIRST + timedelta(days=day)
    row = Contact(patient=patient, way=way, happened_at=at, words=words, written_by=clinician)
    row.save()
    return row


def miss(patient, clinician, day: int) -> Appointment:
    said = {"state": Appointment.State.NOSHOW, "made_by": clinician, "ended_why": "Forgot it."}
    at = FIRST + timedelta(days=day)
    return Appointment.objects.create(patient=patient, clinician=clinician, starts_at=at, **said)


def five(patient, clinician) -> tuple[Episode, list[Visit]]:
    """Five signed visits in twelve weeks: pain 7 to 3, not asked once; treated three times; one bruise."""
    episode = an_episode(patient, clinician)
    made = visits(episode, clinician, FIVE)
    for visit, average in zip(made, PAIN, strict=True):
        pain(visit, average)
    treat(made[0])
    treat(made[1], "supraspinatus", "stretch", pain_before=None, pain_after=None)
    treat(made[1], pain_before=5, pain_after=2)
    treat(made[2], pain_before=4, pain_after=2)
    for visit, active in zip(made, (110, 118, 130, 150, 165), strict=True):
        turn(visit, active)
    press(made[0], 180, 190)
    press(made[4], 260, 270)
    react(made[1])
    log(patient, clinician, Contact.Way.REACTION, 17, "Sore for a day after the visit.")
    miss(patient, clinician, 30)
    HomeProgramme.objects.create(visit=made[2], items=[{"title": "Arm circles", "dose": "twice a day"}])
    return episode, made


def many(patient, clinician, count: int) -> tuple[Episode, list[Visit]]:
    """As many visits, four days apart, each with everything."""
    episode = an_episode(patient, clinician)
    made = visits(episode, clinician, [4 * number for number in range(count)])
    for number, visit in enumerate(made):
        pain(visit, max(1, 8 - number // 15), now=max(1, 8 - number // 15))
        treat(visit)
        turn(visit, 100 + number % 60)
        press(visit, 180 + number)
    react(made[0])
    return episode, made


def strokes(visit: Visit) -> int:
    return StoredStroke.objects.filter(visit=visit).count()
