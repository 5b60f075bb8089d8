"""A visit in which much was done: needles, a stop gone past, reactions, exercises. All invented."""

import uuid
from datetime import datetime, timedelta

from django.utils import timezone

from charting.treatment.models import (
    AdverseEvent,
    AdverseFollowUp,
    GateOverride,
    HomeProgramme,
    LateAdvice,
    NeedleIncident,
)
from charting.visits.models import Visit
from tests.charting import recorded

SHOWN = {
    "title": "Takes a blood thinner",
    "words": "Bleeding into the muscle can be large.",
    "level": "stop",
    "because": "warfarin",
    "source": "A local rule",
    "status": "common practice",
}


def treat(visit: Visit) -> None:
    """Two techniques on three places, with an incident, a stop gone past, late advice and a programme."""
    who, needles = visit.clinician, {**recorded.NEEDLES, "count_out": 2}
    recorded.treat(
        visit,
        "needling",
        "infraspinatus.right",
        needles=needles,
        twitch="yes",
        pain_before=6,
        pain_after=3,
        minutes=4,
        remark="In lying on the side.",
    )
    recorded.treat(visit, "pressure", "trapezius_descending.right", minutes=5, pain_before=5, pain_after=4)
    recorded.treat(visit, "pressure", "teres_minor.right", minutes=3)
    shown = [{"entry": 1, "where": "Infraspinatus, right", "count_in": 3, "count_out": 2}]
    said = {"words": "One was found in the sheet.", "done": "Counted again by two.", "told_patient": True}
    NeedleIncident.objects.create(visit=visit, shown=shown, recorded_by=who, **said)
    GateOverride.objects.create(
        visit=visit,
        muscle="infraspinatus",
        side="right",
        gate="anticoagulant",
        shown=SHOWN,
        reason="INR of 2.1 on Monday, spoken about with her physician.",
        decided_by=who,
    )
    LateAdvice.objects.create(
        visit=visit,
        words="Pain in the chest or breath that is short: at once.",
        call="144",
        understood=True,
        given_by=who,
    )
    HomeProgramme.objects.create(
        visit=visit,
        items=[
            {"title": "Turn the arm out", "how": "Elbow at the side.", "dose": "3 times 10", "stop": "Numb"}
        ],
        words="Warmth before it.",
    )


def react(told_in: Visit, /, what: str = "bruise", **more: object) -> AdverseEvent:
    """What treatment did, recorded by the clinician of a visit; `visit` names the one that it came of."""
    said = {"severity": "mild", "words": "As large as a coin.", "happened_at": timezone.now()}
    kept = {**said, "recorded_by": told_in.clinician, **more}
    return AdverseEvent.objects.create(id=uuid.uuid4(), patient=told_in.patient, what=what, **kept)


def follow_up(event: AdverseEvent, **more: object) -> AdverseFollowUp:
    return AdverseFollowUp.objects.create(event=event, done_by=event.recorded_by, **more)


def before(visit: Visit, days: int = 7) -> Visit:
    """A visit of the same person, signed so many days before."""
    made = Visit.objects.create(patient=visit.patient, clinician=visit.clinician, episode_id=visit.episode_id)
    at: datetime = visit.started_at - timedelta(days=days)
    Visit.objects.filter(pk=made.pk).update(started_at=at, signed_at=at + timedelta(hours=1))
    return Visit.objects.get(pk=made.pk)
