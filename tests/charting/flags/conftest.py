"""A flag that is raised, and a decision about it as a form sends it."""

import uuid
from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from charting.flags import services
from charting.flags.queries import standing_of, state_of
from charting.history.models import DangerAnswer
from tests.charting import recorded

# The question about bladder, bowel and saddle; what it raises calls for a hospital within hours
# (Finucane et al. 2020, JOSPT 50:350-72).
CAUDA = "bladder_bowel_saddle"


def say(visit, **answers):
    """Answers to single questions, whatever was answered before."""
    for key, said in answers.items():
        DangerAnswer.objects.update_or_create(visit=visit, question=key, defaults={"answer": said})


def first_flag(visit):
    return state_of(visit).flags[0]


def call_at(visit) -> datetime:
    return timezone.now() - timedelta(minutes=2)


def said_of(visit, flag_id, **others):
    """What services.decide takes, for the flag as it stands."""
    standing = standing_of(visit, flag_id)
    return {
        "flag_id": flag_id,
        "state": standing.state if standing else "0" * 16,
        "id": uuid.uuid4(),
        "outcome": "cleared",
        "why": "Asked again: an old, known matter.",
        "advised": "To call at once when it changes.",
        "understood": True,
        **others,
    }


def decide(who, visit, flag_id, **others):
    return services.decide(who=who, visit=visit, **said_of(visit, flag_id, **others))


def sent(visit, flag_id, **others):
    """The same as a browser sends it."""
    standing = standing_of(visit, flag_id)
    values = {
        "id": str(uuid.uuid4()),
        "state": standing.state if standing else "0" * 16,
        "outcome": "cleared",
        "why": "Asked again: an old, known matter.",
        "advised": "To call at once when it changes.",
        "understood": "yes",
        **others,
    }
    return {f"{flag_id}-{name}": value for name, value in values.items()}


@pytest.fixture
def raised(blank):
    """A visit whose danger screen is answered: one yes, to bladder, bowel, saddle."""
    recorded.answer_danger_screen(blank, **{CAUDA: "yes"})
    return blank


@pytest.fixture
def flag(raised):
    return first_flag(raised)
