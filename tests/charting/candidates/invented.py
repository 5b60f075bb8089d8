"""Four invented people, each with a drawing, answers and findings. Made for these tests, like nobody."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from charting.drawing.models import DrawnBy
from charting.drawing.services import save_events
from charting.history import services as history
from charting.history.models import DangerAnswer
from charting.screening.models import NeuroFinding
from charting.visits.models import Visit
from tests.charting import recorded

# The body's midline in the frame of the figure, mm.
MIDLINE = 500


@dataclass(frozen=True)
class Told:
    """`drawn` as recorded.draw takes it, of the right side; `left`: all of it on the left. `danger`: other
    answers than no, and further questions that were asked on. `findings`: (key, side) to grade, on top of a
    normal first screen when `screened`.
    """

    drawn: Sequence[tuple]
    left: bool = False
    story: Mapping[str, Any] = field(default_factory=dict)
    danger: Mapping[str, str] = field(default_factory=dict)
    findings: Mapping[tuple[str, str], str] = field(default_factory=dict)
    screened: bool = False


# From the inner edge of the shoulder blade over the chest down the arm to the thumb: the referral of the
# scalenes (Simons, Travell & Simons 1999, chapter 20, from memory). The hand on the head eases it.
ARM_ACHE = (
    ("back", "ache", ("scapula_superior_angle", "scapula_medial_mid"), 40),
    ("front", "ache", ("deltoid_mid", "arm_lateral_mid", "forearm_radial_mid", "thumb_mcp"), 34),
)
SCALENE = Told(
    drawn=(*ARM_ACHE, ("front", "ache", ("infraclavicular", "nipple"), 40)),
    story={"eases": ("arm_overhead",), "brings_on": ("carry",)},
    screened=True,
)
# Neck to thumb with tingling; loss of touch, strength and reflex of C6, four tests of the neck positive.
C6 = Told(
    drawn=(
        ("back", "ache", ("neck_angle", "suprascapular_mid"), 34),
        ("front", "ache", ("deltoid_mid", "arm_lateral_mid"), 30),
        ("front", "tingling", ("forearm_radial_mid", "radial_styloid", "thumb_tip"), 24),
    ),
    story={"brings_on": ("look_up",)},
    screened=True,
    findings={
        ("touch:C6", "right"): "1",
        ("strength:C6", "right"): "4",
        ("reflex:brachioradialis", "right"): "1",
        ("neck:spurling", "right"): "positive",
        ("neck:distraction", "right"): "positive",
        ("tension:median", "right"): "positive",
        ("neck:rotation", "right"): "50",
    },
)
# Pressure over the left chest and an ache down the inner left arm that come with effort.
CHEST = Told(
    drawn=(
        ("front", "pressure", ("sternum_mid", "rib3", "nipple"), 60),
        ("front", "ache", ("arm_medial_mid", "medial_epicondyle"), 26),
    ),
    left=True,
    story={"brings_on": ("effort",)},
    danger={"chest_effort": "yes"},
)
# Low back and leg; bladder, bowel, saddle: yes.
CAUDA = Told(
    drawn=(
        ("back", "ache", ("paraspinal_l3", "psis"), 40),
        ("back", "tingling", ("thigh_mid", "thigh_lower", "calf_mid"), 30),
    ),
    story={"brings_on": ("cough_sneeze",)},
    danger={"bladder_bowel_saddle": "yes"},
)
EVERYBODY = {"scalene": SCALENE, "C6": C6, "chest": CHEST, "cauda": CAUDA}


def record(visit: Visit, told: Told) -> Visit:
    """All of it, as if it had been told and examined."""
    draw(visit, told)
    recorded.answer_danger_screen(visit, **told.danger)
    for key in told.danger:
        DangerAnswer.objects.update_or_create(
            visit=visit, question=key, defaults={"answer": told.danger[key]}
        )
    if told.story:
        history.save_answers(
            who=visit.clinician, visit=visit, version=0, answers=told.story, told_by="clinician"
        )
    if told.screened:
        recorded.examine(visit)
    for (item, side), grade in told.findings.items():
        NeuroFinding.objects.update_or_create(visit=visit, item=item, side=side, defaults={"grade": grade})
    return visit


def draw(visit: Visit, told: Told) -> None:
    events = [recorded.stroke(seq, *each) for seq, each in enumerate(told.drawn, 1)]
    if told.left:
        for event in events:
            event["points"] = [[2 * MIDLINE - x, *rest] for x, *rest in event["points"]]
    outcome = save_events(who=visit.clinician, visit=visit, drawn_by=DrawnBy.PATIENT, sent=events)
    assert not outcome.refused, outcome.refused
