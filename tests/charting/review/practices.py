"""An invented practice with many people in it, made quickly: rows as signing leaves them, nothing typed."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

from bodymaps import coarse, figure, marks
from bodymaps.strokes import Point, Stroke
from charting.drawing.models import DrawnCells
from charting.episodes.models import Episode
from charting.outcomes.models import OutcomeScore
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit

MAY = datetime(2026, 5, 12, 9, tzinfo=UTC)
BORN = date(1980, 2, 1)
# (view, kind, landmarks of the right side, nib in mm)
NECK = ("back", "ache", ("neck_mid", "neck_angle"), 40)
LOW_BACK = ("back", "burning", ("l2", "l5"), 60)
HAND = ("front", "tingling", ("radial_styloid", "thumb_tip"), 22)
PERIOD = "first=2026-03&last=2026-06"


def people(
    by: User,
    count: int,
    *drawn: tuple,
    visits: int = 1,
    sex: str = "female",
    born: date = BORN,
    at: datetime = MAY,
) -> list[Visit]:
    """The last visit of each of so many new people, with the same drawing at every visit."""
    number = Patient.objects.filter(practice=by.practice).count()
    found = []
    for step in range(count):
        person = Patient.objects.create(
            practice=by.practice,
            record_number=5000 + number + step,
            family_name="Vogt",
            given_names=f"Person {number + step}",
            birth_date=born,
            sex=sex,
            search_name="vogt",
        )
        found += [visit_of(person, by, *drawn, at=at) for _ in range(visits)][-1:]
    return found


def visit_of(person: Patient, by: User, *drawn: tuple, at: datetime = MAY, episode=None) -> Visit:
    """Signed, with its drawing counted."""
    visit = Visit.objects.create(patient=person, clinician=by, episode=episode)
    Visit.objects.filter(pk=visit.pk).update(started_at=at, signed_at=at)
    visit.refresh_from_db()
    DrawnCells.objects.bulk_create(
        DrawnCells(visit=visit, view=view, kind=kind, figure=coarse.version(), cell_mm=20, cells=cells)
        for (view, kind), cells in cells_of(drawn).items()
    )
    return visit


_made: dict[tuple, dict] = {}


def cells_of(drawn: Sequence[tuple]) -> dict[tuple[str, str], bytes]:
    key = tuple(drawn)
    if key not in _made:
        _made[key] = coarse.rows(marks.paint([_stroke(one, seq) for seq, one in enumerate(drawn, 1)]))
    return _made[key]


def _stroke(drawn: tuple, seq: int) -> Stroke:
    view, kind, names, nib = drawn
    places = [figure.load().landmark(view, name) for name in names]
    points = tuple(Point(x, y, 0.5, 0.0) for x, y in places)
    return Stroke(id=str(seq), seq=seq, view=view, kind=kind, mode="shade", nib_mm=nib, points=points)


def scored(visit: Visit, *averages: int, instrument: str = "nprs") -> None:
    """Ratings of the average pain, one a day up to the day of `visit`, in one new episode."""
    episode = Episode.objects.create(
        patient=visit.patient, opened_at=visit.started_at, opened_by=visit.clinician
    )
    Visit.objects.filter(pk=visit.pk).update(episode=episode)
    for before, average in enumerate(reversed(averages)):
        at = visit.started_at - timedelta(days=before)
        one = visit if not before else visit_of(visit.patient, visit.clinician, at=at, episode=episode)
        OutcomeScore.objects.create(visit=one, instrument=instrument, answers={"average": average})
