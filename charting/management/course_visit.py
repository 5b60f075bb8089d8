"""One visit of an invented course, written step by step as a clinician and a patient would: each step through
its own service, some minutes after the one before.
"""

import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from bodymaps.reasoning import needling
from charting.coding import services as coding
from charting.consent import services as consent
from charting.consent.circumstances import Circumstances
from charting.consent.coverage import Standing
from charting.consent.queries import standing, texts_in_use
from charting.examination import services as examination
from charting.examination.joints import joint_of
from charting.flags import services as flags
from charting.flags.queries import asked_on, state_of, state_of_answers
from charting.handover import services as handover
from charting.history import danger_screen
from charting.history import services as history
from charting.history.queries import state_of as state_of_screen
from charting.management import course_checks as read
from charting.management import demo
from charting.management.clock import Clock
from charting.management.course_file import Course
from charting.management.hand import shaded
from charting.notes import services as notes
from charting.notes.queries import recorded_in
from charting.outcomes.services import SaidBy, save_scores
from charting.patterns.queries import atlas_for
from charting.report.content import fingerprint
from charting.screening import queries as neuro
from charting.screening import sections
from charting.screening import services as screening
from charting.staff.models import User
from charting.treatment import gate_services, home_services, techniques
from charting.treatment import services as treatment
from charting.treatment.gates import over_lung_in
from charting.treatment.models import TreatmentEntry
from charting.visits.models import Visit

EXAMINATION, MANUAL, NEEDLING = "examination", "manual-treatment", "dry-needling"
BY_PROCEDURE = {"manual": MANUAL, "needling": NEEDLING}

# Questions of the story that a follow-up does not carry forward, and that the gates of needling ask for.
ASKED_EACH_TIME = ("conditions", "medication")
DECIDED = ("outcome", "why", "advised", "called")


class CannotWrite(Exception):
    """The record does not take what the course says; the text names the visit and what to mend."""


@dataclass(frozen=True)
class VisitWriter:
    """Everything said in one visit of a course, before it is signed."""

    course: Course
    said: Mapping[str, Any]
    visit: Visit
    who: User
    clock: Clock
    is_first: bool

    def write(self) -> None:
        steps = (
            (2, self._draw), (2, self._tell), (2, self._ask_danger), (2, self._ask_on), (2, self._score),
            (1, lambda: self._agree(self._before_the_hand)), (4, self._screen_nerves), (4, self._feel),
            (2, self._measure), (1, self._ask_on), (3, lambda: self._agree(self._before_treatment)),
            (1, self._treat), (1, self._advise), (1, self._give_home), (1, self._code), (1, self._word),
        )  # fmt: skip
        for minutes, step in steps:
            self.clock.forward(minutes)
            step()

    def _draw(self) -> None:
        """By the patient's own hand, on the device."""
        held, token = handover.hand_over(who=self.who, visit=self.visit)
        handover.confirm(held=held)
        sent = [{**event, "seq": seq} for seq, event in enumerate(self._events(), 1)]
        outcome = handover.save(held=held, sent=sent, waiting=len(sent), who=held)
        if outcome.refused:
            raise CannotWrite(f"{self._where}: the drawing was refused: {outcome.refused[0][1]}")
        self.clock.forward(3)
        handover.take_back(who=self.who, token=token)

    def _events(self) -> Iterator[dict[str, Any]]:
        lines = [shaded(**read.line(text, self._where)) for text in self.said["lines"]]
        yield from lines
        if self.said.get("no_pain"):
            yield {"type": "answer", "id": str(uuid.uuid4()), "intensities": {}, "no_pain": True}
        first_of = {line["kind"]: line["id"] for line in reversed(lines)}
        for kind, line_id in first_of.items():
            if kind in self.said:
                answers = {"now": {kind: self.said[kind]}, "link_to": []}
                yield {"type": "area", "id": str(uuid.uuid4()), "strokes": [line_id], "answers": answers}

    def _tell(self) -> None:
        """The story at the first visit, then carried forward; what stays with the person: each time."""
        brought = history.carry_forward(who=self.who, visit=self.visit, version=0)
        story = self.course.data["story"]
        asked = story if self.is_first else {key: story[key] for key in ASKED_EACH_TIME if key in story}
        history.save_story(
            who=self.who,
            visit=self.visit,
            version=brought.version,
            complaint=self.said.get("complaint", ""),
            history=self.said.get("history", ""),
            answers={**asked, **self.course.data["standing"]},
        )

    def _ask_danger(self) -> None:
        answers = {question.id: ("no", "") for question in danger_screen.load().questions}
        state = state_of_screen(self.visit)
        history.answer_danger_screen(who=self.who, visit=self.visit, state=state, answers=answers)

    def _ask_on(self) -> None:
        """What drawing, story and findings call for: "no", unless the course says otherwise; then what was
        decided about each sign of danger that is raised.
        """
        while wanted := self._open_questions():
            said = {key: tuple(self.said.get("asked", {}).get(key, ("no", ""))) for key in wanted}
            state = state_of_answers(self.visit)
            flags.answer(who=self.who, visit=self.visit, state=state, answers=said)
        for flag in state_of(self.visit).standing:
            if flag.is_open:
                self._decide(flag.flag.id, flag.state)

    def _open_questions(self) -> tuple[str, ...]:
        called_for = state_of(self.visit).to_ask
        return tuple(item.key for group in called_for for item in group.items if item.key in asked_on())

    def _decide(self, flag: str, state: str) -> None:
        decided = {each["flag"]: each for each in self.said.get("decided", ())}
        if flag not in decided:
            raise CannotWrite(f"{self._where}: decided: say what was decided about {flag}")
        told = {name: value for name, value in decided[flag].items() if name in DECIDED}
        due = decided[flag].get("follow_up_in")
        flags.decide(
            who=self.who,
            visit=self.visit,
            flag_id=flag,
            state=state,
            id=uuid.uuid5(self.visit.pk, flag),
            understood=True,
            called_at=timezone.now() if told.get("called") else None,
            follow_up_on=self.clock.working(self.said["days_ago"] - due, "09:00").date() if due else None,
            **told,
        )

    def _score(self) -> None:
        for score in read.scores(self.said):
            said_by = SaidBy.PAPER if score.on_paper else SaidBy.CLINICIAN
            save_scores(
                who=self.who,
                visit=self.visit,
                instrument=score.instrument,
                answers=score.answers,
                version=0,
                form=score.form,
                said_by=said_by.value,
            )

    def _screen_nerves(self) -> None:
        """All of the first tests, normal but for the grades of the course."""
        grades = self.said.get("grades", {})
        if not (grades or self.said.get("neuro")):
            return
        found = {
            (item.key, side): tuple(grades.get(f"{item.key} {side}", (normal, "")))
            for item, normal in sections.first_tests()
            for side in sections.SIDES
        }
        state = neuro.state_of(self.visit)
        screening.record_findings(who=self.who, visit=self.visit, state=state, findings=found)

    def _feel(self) -> None:
        known = atlas_for(self.visit.patient.practice)
        told = [read.muscle(text, self._where) for text in self.said["felt"]]
        lines = [line for line, _ in told]
        rows = examination.add_muscles(who=self.who, visit=self.visit, lines=lines, known=known)
        for row, (_, said) in zip(rows, told, strict=True):
            examination.record_muscle(
                who=self.who, visit=self.visit, finding=row, version=row.version, changes=said, known=known
            )

    def _measure(self) -> None:
        for text in self.said.get("ranges", ()):
            joint, place, taken = read.reading(text, self._where)
            on_record = joint_of(self.visit, joint)
            examination.record_joints(
                who=self.who,
                visit=self.visit,
                joint=joint,
                state=on_record.state,
                readings={**on_record.readings, place: taken},
                tests=on_record.tests,
            )

    @property
    def _before_the_hand(self) -> tuple[str, ...]:
        """Ids of the texts: to the examination, and one for each sensitive area."""
        return (EXAMINATION, *(key.partition(" ")[0] for key in self._areas(sensitive=True)))

    @property
    def _before_treatment(self) -> tuple[str, ...]:
        known = (techniques.load().get(each["technique"]) for each in self.said["treated"])
        procedures = dict.fromkeys(each.procedure for each in known if each and each.procedure)
        return tuple(BY_PROCEDURE[each] for each in procedures)

    def _agree(self, wanted: tuple[str, ...]) -> None:
        """Signed the first time, confirmed by word of mouth in each further visit."""
        held = {each.consent.text_id: each for each in standing(self.visit.patient) if not each.withdrawn}
        for text_id in wanted:
            if text_id not in held:
                self._sign(text_id)
            elif held[text_id].consent.visit_id != self.visit.pk:
                self._confirm(held[text_id])

    def _sign(self, text_id: str) -> None:
        text = texts_in_use(self.visit.patient.practice)[text_id]
        areas = self._areas(sensitive=True) if text.sensitive else self._areas(sensitive=False)
        around = Circumstances(
            allows=("examination", "manual", "needling") if text.sensitive else (),
            areas=() if text_id == EXAMINATION else areas,
            **self._company(bool(text.sensitive)),
        )
        consent.sign(
            who=self.who,
            visit=self.visit,
            text=text,
            version=text.version,
            signer="patient",
            signer_name=self.visit.patient.name,
            questions="",
            signature=demo.load()["finished"]["signature"],
            by_typed_name=False,
            device_time="",
            around=around,
        )

    def _confirm(self, held: Standing) -> None:
        company = self._company(bool(held.sensitive))
        consent.confirm(who=self.who, visit=self.visit, consent=held.consent, **company)

    def _company(self, is_sensitive: bool) -> dict[str, str]:
        names = ("chaperone", "chaperone_name")
        return {name: self.course.data.get(name, "") for name in names} if is_sensitive else {}

    def _areas(self, *, sensitive: bool) -> tuple[str, ...]:
        return tuple(key for key in self.course.data["areas"] if read.area_of(key).sensitive == sensitive)

    def _treat(self) -> None:
        """Each entry is written when it was done."""
        known = atlas_for(self.visit.patient.practice)
        for each in self.said["treated"]:
            done = read.treated(each, self._where)
            self.clock.forward(done.minutes or 1)
            treatment.add_entry(who=self.who, visit=self.visit, said=done, known=known)

    def _advise(self) -> None:
        if not over_lung_in(TreatmentEntry.objects.filter(visit=self.visit)):
            return
        text = needling.late_advice()
        gate_services.give_late_advice(
            who=self.who, visit=self.visit, words=text.words, call=text.call, understood=True
        )

    def _give_home(self) -> None:
        if items := read.programme(self.said):
            home_services.save_home(who=self.who, visit=self.visit, version=0, items=items, words="")

    def _code(self) -> None:
        """Reasons stand where a code is kept in spite of what speaks against it: "code: reason"."""
        for text in self.said.get("codes", ()):
            code, _, reason = text.partition(": ")
            coding.choose(who=self.who, visit=self.visit, code=code, reason=reason)

    def _word(self) -> None:
        notes.save_text(
            who=self.who,
            visit=self.visit,
            version=0,
            assessment=self.said["assessment"],
            plan=self.said["plan"],
        )

    @property
    def _where(self) -> str:
        return f"{self.course.name}, visit of {self.said['days_ago']} days ago"


def sign(who: User, visit: Visit) -> None:
    """Freeze it. Making the papers takes some seconds, outside any transaction."""
    read_ = fingerprint(recorded_in(visit))
    notes.sign(who=who, visit=visit, password=demo.load()["password"], read=read_)
