"""One complaint over three visits, a week apart."""

from datetime import timedelta

import pytest

from charting.episodes.models import Episode
from charting.outcomes.models import OutcomeScore
from charting.visits.models import Visit


@pytest.fixture
def course(anna, mara):
    """Three visits of one episode, earliest first; the last is open now."""
    visits = [Visit.objects.create(patient=anna, clinician=mara) for _ in range(3)]
    now = visits[-1].started_at
    episode = Episode.objects.create(patient=anna, opened_at=now - timedelta(days=14), opened_by=mara)
    for number, visit in enumerate(visits):
        visit.episode, visit.started_at = episode, now - timedelta(days=7 * (2 - number))
        visit.save()
    return tuple(visits)


@pytest.fixture
def score():
    """Puts a score on record as it stands."""

    def put(visit, instrument, answers, form="", **more):
        said = {"instrument": instrument, "answers": answers, "form": form, **more}
        return OutcomeScore.objects.create(visit=visit, **said)

    return put


def activities(*values, names=("Stairs", "Lifting", "Sleep", "Driving", "Work")):
    return {
        "activities": [{"name": name, "value": value} for name, value in zip(names, values, strict=False)]
    }
