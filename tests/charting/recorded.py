"""A visit with something in every step. The people and the story are invented."""

import uuid
from collections.abc import Sequence
from datetime import date

from bodymaps import figure
from charting.assessment.models import Conclusion
from charting.consent.models import Consent
from charting.drawing.areas import told
from charting.drawing.models import DrawnBy
from charting.drawing.queries import drawing_of, kept_of
from charting.drawing.services import save_events
from charting.examination.models import MuscleFinding, RangeReading
from charting.history import danger_screen
from charting.history.models import DangerAnswer, StandingFact, Story, StoryAnswer
from charting.notes.models import NoteText
from charting.notes.queries import recorded_in
from charting.patients.models import Patient
from charting.report.content import fingerprint
from charting.screening import sections
from charting.screening.models import NeuroFinding
from charting.staff.models import Practice, Site, User
from charting.treatment.models import TreatmentEntry
from charting.visits.models import Visit

PASSWORD = "harbour-lantern-42"
# Front of the shoulder and down the outer side of the arm, as somebody might shade it.
SHOULDER_ACHE = ("front", "ache", ("humeral_head", "deltoid_insertion", "biceps_mid"), 46)
THUMB_TINGLING = ("front", "tingling", ("forearm_radial_mid", "radial_styloid", "thumb_tip"), 22)
NECK_PRESSURE = ("back", "pressure", ("neck_mid", "neck_angle", "suprascapular_mid"), 32)
CALF_BURNING = ("back", "burning", ("calf_mid", "achilles"), 30)


def practice(name: str = "Lindenhof Practice") -> Practice:
    return Practice.objects.create(
        name=name,
        street="Alder Lane 4",
        town="8400 Winterthal",
        time_zone="Europe/Zurich",
        # A password is enough to sign in; what is asked elsewhere is tested by itself.
        is_demo=True,
    )


def site(of: Practice, name: str) -> Site:
    return Site.objects.get_or_create(practice=of, name=name)[0]


def member(at: Practice, username: str, role: str = User.Role.CLINICIAN, **more: str | bool) -> User:
    return User.objects.create_user(username, password=PASSWORD, practice=at, role=role, **more)


def patient(at: Practice, number: int = 1042) -> Patient:
    return Patient.objects.create(
        practice=at,
        record_number=number,
        family_name="Keller",
        given_names="Anna",
        birth_date=date(1978, 5, 3),
        search_name="anna keller",
    )


def draw(visit: Visit, *drawn: tuple, intensities: dict[str, int] | None = None) -> None:
    """Each of `drawn` is (view, kind, landmarks of the right side, nib in mm)."""
    events = [stroke(seq, *each) for seq, each in enumerate(drawn, 1)]
    answer = {"type": "answer", "id": str(uuid.uuid4()), "seq": len(events) + 1}
    events.append({**answer, "intensities": intensities or {}, "no_pain": False})
    outcome = save_events(who=visit.clinician, visit=visit, drawn_by=DrawnBy.PATIENT, sent=events)
    assert not outcome.refused, outcome.refused


def say_of_areas(
    visit: Visit,
    answers: dict[int, dict],
    *,
    link: dict[int, tuple[str, int]] | None = None,
    cleared: Sequence[str] = (),
    spot: tuple[str, str] | None = None,
) -> None:
    """Answers by the number of the area, as the page after drawing sends them; link: {2: ("after", 1)}."""
    found = {area.number: list(area.strokes) for area in told(drawing_of(visit)).areas}
    events = []
    for number, said in answers.items():
        how, other = (link or {}).get(number, ("", 0))
        linked = {"link": how, "link_to": found[other]} if other else {}
        events.append({"type": "area", "strokes": found[number], "answers": {**said, **linked}})
    events += [{"type": "cleared", "parts": list(cleared)}] if cleared else []
    if spot:
        events.append({**stroke(1, spot[0], None, (spot[1],), 10), "mode": "spot"})
    first = kept_of(visit).last_seq + 1
    sent = [{**each, "id": str(uuid.uuid4()), "seq": seq} for seq, each in enumerate(events, first)]
    outcome = save_events(who=visit.clinician, visit=visit, drawn_by=DrawnBy.PATIENT, sent=sent)
    assert not outcome.refused, outcome.refused


def stroke(seq: int, view: str, kind: str | None, landmarks: tuple[str, ...], nib: float) -> dict:
    """One shaded line as a board sends it, along landmarks of the right side."""
    places = [figure.load().landmark(view, name) for name in landmarks]
    points = [[x, y, 0.5, 10 * step] for step, (x, y) in enumerate(places)]
    line = {"view": view, "kind": kind, "mode": "shade", "nib_mm": nib, "points": points}
    return {"type": "stroke", "id": str(uuid.uuid4()), "seq": seq, **line}


def answer_danger_screen(visit: Visit, **others: str) -> None:
    """No to every question, except for those named: answer_danger_screen(visit, fever="yes")."""
    for question in danger_screen.load().questions:
        answer = others.get(question.id, "no")
        DangerAnswer.objects.create(visit=visit, question=question.id, answer=answer)


def examine(visit: Visit, **grades: str) -> None:
    """Normal on both sides; `strength__C6="4"` is another grade on the right."""
    for item, normal in sections.first_tests():
        for side in NeuroFinding.Side.values:
            other = grades.get(item.key.replace(":", "__")) if side == "right" else None
            NeuroFinding.objects.create(visit=visit, item=item.key, side=side, grade=other or normal)


def consent(visit: Visit) -> Consent:
    return Consent.objects.create(
        visit=visit,
        text_id="treatment",
        text_version=2,
        title="Hands-on treatment",
        body="What is done: pressing and stretching.\nYou may stop at any time.",
        explained_by=visit.clinician,
        signer_name="Anna Keller",
        signature=[[[50, 120], [120, 60], [180, 140]], [[300.25, 130]]],
    )


def whole_visit(of: Patient, by: User) -> Visit:
    """Every step recorded, ready to be signed."""
    visit = Visit.objects.create(patient=of, clinician=by)
    Story.objects.create(
        visit=visit, complaint="Pain in the front of the right shoulder.", history="Six weeks."
    )
    draw(visit, SHOULDER_ACHE, THUMB_TINGLING, NECK_PRESSURE, intensities={"ache": 6})
    answer_danger_screen(visit)
    examine(visit, strength__C6="4")
    consent(visit)
    NoteText.objects.create(visit=visit, assessment="Infraspinatus tender.", plan="Look again in ten days.")
    return visit


def as_read(visit: Visit) -> str:
    """What the page to sign sends along: the fingerprint of the record as it stands now."""
    return fingerprint(recorded_in(visit))


# What a hand found: (muscle, side, site, answers, pain on pressing, pressure, remark). Invented.
THREE = ("band", "spot", "referral")
PRESSED = {"unit": "kPa", "trials": [210, 225, 230], "tip_cm2": 1.0}
FELT = (
    ("infraspinatus", "right", "upper_belly", "yes yes yes yes", 7, PRESSED, "Runs into the thumb."),
    ("supraspinatus", "right", "belly", "yes yes no yes", 5, {}, ""),
    ("levator_scapulae", "right", "", "yes yes no no", 3, {}, ""),
    ("scalenus_medius", "right", "upper", "no yes yes yes", 6, {}, ""),
    ("trapezius_upper", "right", "", "yes yes NT yes", 4, {}, ""),
    ("deltoideus_anterior", "right", "", "no yes no yes", 2, {}, ""),
    ("biceps_brachii", "right", "", "no no no no", None, {}, ""),
    ("brachialis", "right", "", "no no no no", None, {}, ""),
    ("infraspinatus", "left", "upper_belly", "no no no no", None, {}, ""),
    ("teres_minor", "right", "", "", None, {}, ""),
)


def feel(visit: Visit, felt: Sequence[tuple] = FELT) -> None:
    """Muscles as the hand found them; the answers are those of the three criteria and of recognition."""
    for position, (muscle, side, site, said, pain, pressure, remark) in enumerate(felt, 1):
        answers = dict(zip((*THREE, "recognised"), said.split(), strict=False))
        MuscleFinding.objects.create(
            visit=visit,
            muscle=muscle,
            side=side,
            site=site,
            signs={**answers, "strength": "5"} if answers else {},
            pain=pain,
            pressure=pressure,
            remark=remark,
            position=position,
        )


def move(visit: Visit, **more: float) -> None:
    """Neck and shoulder measured on both sides, the right one less far and painful."""
    for movement, right, left in (("neck_rotation", 52, 68), ("shoulder_external_rotation", 48, 71)):
        for side, active in (("right", right), ("left", left)):
            RangeReading.objects.create(
                visit=visit,
                movement=movement,
                side=side,
                active=active + more.get(side, 0),
                instrument="inclinometer",
                hurts="yes" if side == "right" else "no",
                pain=4 if side == "right" else None,
            )


def provoke(visit: Visit) -> None:
    for item, side, grade in (
        ("shoulder:hawkins", "right", "positive"),
        ("shoulder:hawkins", "left", "negative"),
        ("shoulder:neer", "right", "negative"),
        ("shoulder:neer", "left", "negative"),
        ("shoulder:painful_arc", "right", "negative"),
        ("shoulder:speed", "right", "positive"),
    ):
        NeuroFinding.objects.create(visit=visit, item=item, side=side, grade=grade)


def conclude(visit: Visit, number: int = 1) -> Conclusion:
    """About one area: a likely muscle, a root that is ruled out, what remains open."""
    area = next(one for one in told(drawing_of(visit)).areas if one.number == number)
    return Conclusion.objects.create(
        visit=visit,
        strokes=list(area.strokes),
        where=f"Area {number}, {area.where}",
        sources=[
            source("muscle", "infraspinatus", "likely", "Infraspinatus"),
            source("root", "C6", "ruled_out", "Nerve root C6"),
        ],
        sentences=[
            {"key": "own:1", "about": "source", "text": "Pressing brings on the known pain."},
            {"key": "own:2", "about": "ruled_out", "text": "Spurling and reflexes of C6 are normal."},
            {"key": "own:3", "about": "open", "text": "Whether the tendon takes part."},
        ],
    )


def source(layer: str, id_: str, certainty: str, name: str) -> dict[str, str]:
    return {"layer": layer, "id": id_, "side": "right", "certainty": certainty, "name": name}


def hands_on(visit: Visit) -> None:
    """Everything of the hands-on examination, and what is concluded from it."""
    feel(visit)
    move(visit)
    provoke(visit)
    conclude(visit)


def agree(visit: Visit, procedure: str, *areas: str) -> Consent:
    """Signed in this visit for one procedure and these areas: agree(visit, "manual", "shoulder right")."""
    return Consent.objects.create(
        visit=visit,
        text_id=procedure,
        text_version=1,
        title=f"Consent: {procedure}",
        body="What is done, what it may do, and that one may stop at any time.",
        explained_by=visit.clinician,
        signer_name="Anna Keller",
        signature=[[[50, 120], [120, 60]]],
        procedure=procedure,
        areas=list(areas),
    )


def asked_before_needles(visit: Visit, **others: str) -> None:
    """What is asked before a needle goes in: no to all of it, except for those named."""
    for key in ("anticoagulant", "pregnancy", "implant", "allergy", "needle_reaction"):
        said = {"visit": visit, "confirmed_by": visit.clinician, "value": others.get(key, "no")}
        StandingFact.objects.create(patient=visit.patient, key=key, **said)
    StoryAnswer.objects.create(visit=visit, key="conditions", value=["none"])


NEEDLES = {
    "gauge_mm": 0.25,
    "length_mm": 40,
    "depth_mm": 20,
    "direction": "medially",
    "count_in": 3,
    "count_out": 3,
}


def treat(visit: Visit, technique: str, place: str, **more: object) -> TreatmentEntry:
    """An entry as it stands on record: treat(visit, "pressure", "infraspinatus.right", minutes=4)."""
    muscle, side, *site = place.split(".")
    return TreatmentEntry.objects.create(
        visit=visit,
        technique=technique,
        muscle=muscle,
        side=side,
        site=".".join(site),
        position=TreatmentEntry.objects.filter(visit=visit).count() + 1,
        entered_by=visit.clinician,
        **more,
    )
