"""A visit in which everything was recorded, of which most hold a part: the longest paper. All invented."""

from datetime import timedelta

from charting.consent.models import ConsentConfirmed, ConsentWithdrawn
from charting.episodes.models import Episode
from charting.history.models import Story
from charting.notes.models import NoteText
from charting.outcomes.models import OutcomeScore
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.report import cared_for, full

COMPLAINT = "Pain in the front of the right shoulder, down the outer arm, with tingling in the thumb."
HISTORY = (
    "Began six weeks ago after two days of painting a ceiling. First an ache at night, for three weeks also "
    "on reaching up and behind the back. Warmth helps for an hour. Works at a screen all day. Tried "
    "rest for two weeks without gain. No earlier trouble with this shoulder; a stiff neck twice a year."
)
ASSESSMENT = (
    "The known pain comes on with pressure on two places of the infraspinatus. The tingling into the thumb "
    "is not explained by it alone. Strength of the wrist extensors is to be followed."
)
PLAN = (
    "Four visits within four weeks. Look again at strength and reflexes at the next visit; refer for imaging "
    "if the weakness grows. Goal: reach the upper shelf without pain by the end of the year."
)
FOUND = {
    "vital:pulse": "72",
    "vital:systolic": "128",
    "vital:diastolic": "82",
    "neck:spurling right": "positive",
    "neck:spurling left": "negative",
    "neck:distraction": "positive",
}
SCORES = (
    ("ndi", {"sum": 22, "answered": 10}, {"sum": 14, "answered": 10}),
    ("psfs", (2, 3, 4), (5, 6, 6)),
    ("nprs", {"now": 7}, {"now": 4}),
)
ACTIVITIES = ("Reach the upper shelf", "Sleep on the right side", "Drive for an hour")


def heavy_visit(visit: Visit) -> Visit:
    """Everything recorded, with a first visit nine days before; `visit` is one of recorded.whole_visit."""
    before = _before(visit)
    Story.objects.filter(visit=visit).update(complaint=COMPLAINT, history=HISTORY)
    full.tell(visit, **full.MOVES, **full.BLOOD_THINNER)
    recorded.say_of_areas(visit, {1: {"course": "constant", "best": 2, "worst": 8}, 2: {"depth": "deep"}})
    full.say(visit, weight_loss="yes")
    recorded.hands_on(visit)
    recorded.conclude(visit, 2)
    full.find(visit, **FOUND)
    cared_for.treat(visit)
    cared_for.follow_up(cared_for.react(visit, visit=before), words="Gone after four days.", settles=True)
    _score(before, visit)
    for procedure in ("manual", "needling"):
        recorded.agree(visit, procedure, "shoulder right", "neck")
    held = recorded.agree(before, "examination")
    said = {"consent": held, "visit": visit, "confirmed_by": visit.clinician}
    ConsentConfirmed.objects.create(**said)
    gone = recorded.agree(before, "manual", "neck")
    ConsentWithdrawn.objects.create(consent=gone, said_by="the patient", recorded_by=visit.clinician)
    NoteText.objects.filter(visit=visit).update(assessment=ASSESSMENT, plan=PLAN)
    return Visit.objects.get(pk=visit.pk)


def _before(visit: Visit) -> Visit:
    opened = visit.started_at - timedelta(days=9)
    episode = Episode.objects.create(
        patient=visit.patient, title="Right shoulder", opened_at=opened, opened_by=visit.clinician
    )
    visit.episode = episode
    visit.save()
    before = cared_for.before(visit, days=9)
    recorded.move(before, right=-16)
    return before


def _score(before: Visit, visit: Visit) -> None:
    for instrument, then, now in SCORES:
        for of, answers in ((before, then), (visit, now)):
            OutcomeScore.objects.create(visit=of, instrument=instrument, answers=_answers(answers))


def _answers(said: object) -> dict:
    if isinstance(said, dict):
        return said
    return {
        "activities": [{"name": name, "value": value} for name, value in zip(ACTIVITIES, said, strict=True)]
    }
