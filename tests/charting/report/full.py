"""A visit in which much was told, raised, found and held against the drawing. All invented."""

import uuid

from django.utils import timezone

from charting.flags import services as flags
from charting.flags.queries import standing_of
from charting.history import services as history
from charting.history.models import DangerAnswer
from charting.history.queries import story_of
from charting.screening.models import NeuroFinding
from charting.visits.models import Visit

MOVES = {"brings_on": ("turn_head", "reach"), "eases": ("heat",), "onset": "gradual"}
BLOOD_THINNER = {"anticoagulant": "yes", "anticoagulant_which": "warfarin", "allergy": "no"}


def tell(visit: Visit, told_by: str = "clinician", **answers: object) -> None:
    """Answers of the story and of what stands with the person, as the chart's own services keep them."""
    history.save_answers(
        who=visit.clinician,
        visit=visit,
        version=story_of(visit).version,
        answers=answers,
        told_by=told_by,
    )


def say(visit: Visit, **answers: str) -> None:
    """Answers about danger, whatever was answered before."""
    for key, said in answers.items():
        DangerAnswer.objects.update_or_create(visit=visit, question=key, defaults={"answer": said})


def decide(visit: Visit, flag: str, **others: object) -> None:
    """A physician was called about a sign that is raised."""
    said = {
        "outcome": "spoken",
        "why": "Pain with effort for two weeks, none now",
        "called": "Dr. Lang, on call",
        "called_at": timezone.now(),
        "advised": "To call the emergency number with pain at rest.",
        "understood": True,
        "follow_up_on": timezone.localdate(),
        **others,
    }
    state = standing_of(visit, flag).state
    flags.decide(who=visit.clinician, visit=visit, flag_id=flag, state=state, id=uuid.uuid4(), **said)


def find(visit: Visit, **grades: str) -> None:
    """Findings over those on record: find(visit, **{"neck:spurling right": "positive"})."""
    for name, grade in grades.items():
        key, _, side = name.partition(" ")
        grade, _, remark = grade.partition(": ")
        NeuroFinding.objects.update_or_create(
            visit=visit, item=key, side=side, defaults={"grade": grade, "remark": remark}
        )
