"""manage.py seed_demo: an invented practice to try things on. Refuses when there is a practice already."""

import uuid
from collections.abc import Iterator
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from bodymaps import figure
from charting.assessment import pages as assessment
from charting.assessment.made import name_of
from charting.assessment.services import conclude
from charting.assessment.writing import Asked, apply
from charting.assessment.written import Written
from charting.audit.services import record
from charting.consent import services as consent
from charting.consent import texts
from charting.consent.circumstances import Circumstances
from charting.examination import services as examination
from charting.examination.joints import joint_of
from charting.examination.range_limits import Taken
from charting.flags import services as flags
from charting.flags.queries import state_of_answers
from charting.handover import services as handover
from charting.history import danger_screen
from charting.history import services as history
from charting.history.queries import state_of
from charting.management import demo
from charting.management.demo import SetUp
from charting.management.hand import shaded
from charting.notes import services as notes
from charting.notes.queries import recorded_in
from charting.patients import services as patients
from charting.patterns.queries import atlas_for
from charting.report.content import fingerprint
from charting.screening import queries as neuro
from charting.screening import sections
from charting.screening import services as screening
from charting.staff.models import Practice, User
from charting.visits import services as visits
from charting.visits.models import Visit

# The worst spot is a tap with the tip of a finger.
SPOT_MM = 12.0


class Command(BaseCommand):
    help = "Make the invented demo practice: staff, four patients, two open visits, a signed one."

    @transaction.atomic
    def handle(self, *args: Any, **options: Any) -> None:
        if Practice.objects.exists():
            raise CommandError(
                "There is a practice already; the demo practice is made in an empty database only."
            )
        practice = _practice()
        everybody = [_person(practice, person) for person in demo.load()["staff"]]
        # The first of each role: the second clinician is learning.
        staff = {user.role: user for user in reversed(everybody)}
        clinician, desk = staff["clinician"], staff["desk"]
        people = [patients.register(who=desk, **person) for person in demo.load()["patient"]]
        first, second, finished = (
            visits.start(who=clinician, patient=person, clinician=clinician, id=uuid.uuid4())
            for person in (people[0], people[1], people[3])
        )
        _fill(first, clinician, demo.load()["visit"])
        _fill(finished, clinician, demo.load()["finished"])
        _finish(finished, clinician, demo.load()["finished"])
        _tell(second, clinician, demo.load()["begun"])
        if options["verbosity"] > 0:
            self.stdout.write(demo.sign_in_words())


def _practice() -> Practice:
    practice = Practice.objects.create(time_zone=settings.TIME_ZONE, **demo.load()["practice"])
    record(who=SetUp(), did="set up", what=practice)
    return practice


def _person(practice: Practice, person: dict[str, Any]) -> User:
    user = User.objects.create_user(practice=practice, password=demo.load()["password"], **person)
    record(who=SetUp(audit_practice_id=practice.pk), did="added staff", what=user)
    return user


def _fill(visit: Visit, clinician: User, told: dict[str, Any]) -> None:
    """Story, danger screen, a drawing by the patient's own hand, and some of what it calls for: all through
    the chart's services.
    """
    _tell(visit, clinician, told)
    answers = {question.id: ("no", "") for question in danger_screen.load().questions}
    history.answer_danger_screen(who=clinician, visit=visit, state=state_of(visit), answers=answers)
    held, token = handover.hand_over(who=clinician, visit=visit)
    handover.confirm(held=held)
    sent = list(_events(told))
    outcome = handover.save(held=held, sent=sent, waiting=len(sent), who=held)
    if outcome.refused:
        raise CommandError(f"The demo drawing was refused: {outcome.refused[0][1]}")
    handover.take_back(who=clinician, token=token)
    asked_on = {key: (answer, remark) for key, (answer, remark) in told["asked_on"].items()}
    flags.answer(who=clinician, visit=visit, state=state_of_answers(visit), answers=asked_on)


def _tell(visit: Visit, clinician: User, told: dict[str, Any]) -> None:
    history.save_story(
        who=clinician,
        visit=visit,
        version=0,
        complaint=told["complaint"],
        history=told.get("history", ""),
        answers=told["answers"],
    )


def _finish(visit: Visit, clinician: User, told: dict[str, Any]) -> None:
    """Neuro screen, consent, words and signature. Making the papers takes about two seconds."""
    screening.record_findings(
        who=clinician,
        visit=visit,
        state=neuro.state_of(visit, sections.VITAL),
        findings=_by_cell(told["vitals"]),
        page=sections.VITAL,
    )
    screening.record_findings(
        who=clinician,
        visit=visit,
        state=neuro.state_of(visit),
        findings={**_findings(told["differs"]), **_by_cell(told["tests"])},
    )
    _feel(visit, clinician, told["muscle"])
    _measure(visit, clinician, told["joint"])
    text = texts.load()["manual-treatment"]
    consent.sign(
        who=clinician,
        visit=visit,
        text=text,
        version=text.version,
        signer="patient",
        signer_name=visit.patient.name,
        questions=told["questions"],
        signature=told["signature"],
        by_typed_name=False,
        device_time="",
        around=Circumstances(areas=tuple(told["areas"])),
    )
    _conclude(visit, clinician, told["concluded"])
    notes.save_text(who=clinician, visit=visit, version=0, assessment=told["assessment"], plan=told["plan"])
    read = fingerprint(recorded_in(visit))
    notes.sign(who=clinician, visit=visit, password=demo.load()["password"], read=read)


def _conclude(visit: Visit, clinician: User, told: dict[str, Any]) -> None:
    """Sources of the first area with their certainty, all that the record says of it, and own words."""
    known = assessment.read_visit(visit)
    area = known.places[0]
    certain = {(each["layer"], each["id"], each["side"]): each["certainty"] for each in told["sources"]}
    names = {by: name_of(by, known.found.atlas) for by in certain}
    named = apply(Written(), Asked(certainty=certain, names=names), {})
    made = known.assembled(area.number, named)
    take = frozenset(each.key for each in made.offered if each.by in certain)
    conclude(
        who=clinician,
        visit=visit,
        areas=known.found.areas,
        stroke=area.first,
        where=area.where,
        version=0,
        said=apply(named, Asked(take=take, own=told["own"]), made.by_key),
    )


def _feel(visit: Visit, clinician: User, told: list[dict[str, Any]]) -> None:
    known = atlas_for(visit.patient.practice)
    lines = [examination.MuscleLine(*muscle["line"].split(".")) for muscle in told]
    rows = examination.add_muscles(who=clinician, visit=visit, lines=lines, known=known)
    for row, muscle in zip(rows, told, strict=True):
        others = {name: said for name, said in muscle.items() if name not in ("line", "signs")}
        examination.record_muscle(
            who=clinician,
            visit=visit,
            finding=row,
            version=row.version,
            changes={**muscle["signs"], **others},
            known=known,
        )


def _measure(visit: Visit, clinician: User, told: dict[str, Any]) -> None:
    """Ranges and tests of one joint; a reading by "movement side"."""
    parted = [(where.partition(" "), said) for where, said in told["readings"].items()]
    examination.record_joints(
        who=clinician,
        visit=visit,
        joint=told["id"],
        state=joint_of(visit, told["id"]).state,
        readings={(movement, side): Taken(**said) for (movement, _, side), said in parted},
        tests=_by_cell(told["tests"]),
    )


def _findings(differs: dict[str, list[str]]) -> dict[tuple[str, str], tuple[str, str]]:
    """The normal grade everywhere but in `differs`: {"touch:C6 right": [grade, remark]}."""
    found = {}
    for item, normal in sections.first_tests():
        for side in ("right", "left"):
            grade, remark = differs.get(f"{item.key} {side}", [normal, ""])
            found[item.key, side] = (grade, remark)
    return found


def _by_cell(told: dict[str, list[str]]) -> dict[tuple[str, str], tuple[str, str]]:
    """{"neck:rotation right": [grade, remark]} by test and side."""
    found = {}
    for name, (grade, remark) in told.items():
        key, _, side = name.partition(" ")
        found[key, side] = (grade, remark)
    return found


def _events(told: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """What the board and the page after it would have sent."""
    lines = [shaded(**line) for line in told["line"]]
    ids = [line["id"] for line in lines]
    events = [*lines, _spot(told["spot"])]
    events += [_area(said, ids) for said in told["area"]]
    events.append({"type": "cleared", "id": str(uuid.uuid4()), "parts": told["cleared"]})
    for seq, event in enumerate(events, 1):
        yield {**event, "seq": seq}


def _spot(spot: dict[str, Any]) -> dict[str, Any]:
    x, y = figure.load().landmark(spot["view"], spot["at"])
    stroke = {"view": spot["view"], "kind": None, "mode": "spot", "nib_mm": SPOT_MM}
    return {"type": "stroke", "id": str(uuid.uuid4()), "points": [[x, y, 0, 0]], **stroke}


def _area(said: dict[str, Any], ids: list[str]) -> dict[str, Any]:
    """What is said of an area: that of the line it names, whatever other lines belong to it too."""
    answers = {key: value for key, value in said.items() if key not in ("line", "link_to")}
    answers["link_to"] = [ids[said["link_to"] - 1]] if "link_to" in said else []
    strokes = [ids[said["line"] - 1]]
    return {"type": "area", "id": str(uuid.uuid4()), "strokes": strokes, "answers": answers}
