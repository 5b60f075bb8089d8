"""Writes the courses of twelve invented people (courses.toml) into the demo practice, through the services.

The record then says that all this happened over months, though it was written in minutes: the clock of
charting.management.clock is set to the moment of each step. That is honest because everybody in it is
invented, and because the audit trail says at the true time, under WRITTEN, which courses were written so. In
any other practice it is refused.

A course is a row of steps, each with its own transaction and ids that follow from the person and the number
of the step. So a course half written when the machine stopped is finished at the next run, and one that is
written is left alone.
"""

import uuid
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from charting.appointments import services as appointments
from charting.appointments.models import Appointment
from charting.audit.models import AuditEntry
from charting.audit.services import record
from charting.contacts import services as contacts
from charting.episodes.models import EpisodeEvent
from charting.episodes.queries import episodes_of
from charting.episodes.services import About
from charting.flags import services as flags
from charting.flags.models import Decision
from charting.management import course_file, course_letters, course_papers, course_visit, demo
from charting.management.clock import Clock
from charting.management.course_file import Course
from charting.patients import services as patients
from charting.patients.models import Patient
from charting.progress import services as progress
from charting.progress.course import course_of
from charting.progress.summary import fingerprint, summary_of
from charting.staff.models import Practice, User
from charting.treatment import adverse_services
from charting.treatment.adverse_queries import choices_of
from charting.treatment.adverse_services import Happened
from charting.visits.models import Visit

WRITTEN = "wrote invented course"
IDS = uuid.UUID("5f0f3a0e-7f7e-4d0f-9a39-0c1ab66f6f11")
MINUTES = 45
# How long before a visit its appointment was made, and when somebody sits down to write.
BOOKED_BEFORE, DESK_OPENS, END_OF_DAY = 5, "10:05", "17:50"


class NotHere(Exception):
    """Invented people are written into the demo practice alone."""


@dataclass(frozen=True)
class Step:
    """One thing that happened: when it did, and what writes it; nothing where it is written already."""

    when: datetime
    write: Callable[[], None]


@dataclass(frozen=True)
class Team:
    """Who writes: both of the demo practice."""

    practice: Practice
    clinician: User
    desk: User


def team() -> Team:
    """Raises NotHere in any practice but the demo practice."""
    practice = Practice.objects.filter(name=demo.load()["practice"]["name"]).first()
    if practice is None or Practice.objects.count() != 1:
        raise NotHere("The courses are written into the demo practice only, and this is not one.")
    named = {each["role"]: each["username"] for each in reversed(demo.load()["staff"])}
    found = {user.username: user for user in User.objects.filter(practice=practice, is_active=True)}
    if not {named["clinician"], named["desk"]} <= set(found):
        raise NotHere("The staff of the demo practice is not there any more, so no course is written.")
    return Team(practice, found[named["clinician"]], found[named["desk"]])


def write_all(
    tell: Callable[[str], None] = lambda _: None, *, go_on: Callable[[], bool] = lambda: True
) -> int:
    """Write what is not there yet, and say of each course that it stands. How many courses were written.

    Stops between two steps when `go_on` says no; the rest is for the next run. Raises NotHere, CourseError.
    """
    who = team()
    made = 0
    for course in left():
        if not _Writer(course, who, _clock(who.practice)).write(go_on):
            break
        made += 1
        tell(f"{course.name}: {len(course.visits)} visits.")
    return made


def left() -> tuple[Course, ...]:
    """The courses that are not written to the end. Raises NotHere, CourseError."""
    practice = team().practice
    return tuple(course for course in course_file.load() if not is_written(practice, course))


def _clock(practice: Practice) -> Clock:
    return Clock(timezone.now().astimezone(practice.zone).date(), practice.zone)


def person_id(practice: Practice, course: Course) -> uuid.UUID:
    return uuid.uuid5(IDS, f"{practice.pk} {course.name} {course.data['birth_date']}")


def is_written(practice: Practice, course: Course) -> bool:
    key = str(person_id(practice, course))
    return AuditEntry.objects.filter(object_type="patient", object_id=key, action=WRITTEN).exists()


@dataclass(frozen=True)
class _Writer:
    course: Course
    who: Team
    clock: Clock

    @property
    def patient_id(self) -> uuid.UUID:
        return person_id(self.who.practice, self.course)

    @property
    def patient(self) -> Patient:
        return Patient.objects.select_related("practice").get(pk=self.patient_id)

    def write(self, go_on: Callable[[], bool]) -> bool:
        """Every step, in order of time. Whether it came to the end."""
        for step in sorted(self._steps(), key=lambda step: step.when):
            if not go_on():
                return False
            with self.clock.running():
                self.clock.set(step.when)
                step.write()
        said = demo.SetUp(audit_practice_id=self.who.practice.pk)
        with transaction.atomic():
            record(who=said, did=WRITTEN, what=self.patient, visits=len(self.course.visits))
        return True

    def _id(self, what: str, number: int) -> uuid.UUID:
        return uuid.uuid5(self.patient_id, f"{what} {number}")

    def _steps(self) -> Iterator[Step]:
        first = self.course.visits[0]
        yield Step(self._booking(first), self._register)
        for number, said in enumerate(self.course.visits):
            yield from self._around_visit(number, said)
        for number, said in enumerate(self.course.rows("missed")):
            yield Step(self._booking(said), self._book("missed", number, said, self._start(said)))
            yield Step(self._start(said), self._miss(number, said))
        for number, said in enumerate(self.course.rows("call")):
            yield Step(self._start(said, "16:10"), self._call(number, said))
        for number, said in enumerate(self.course.rows("reaction")):
            yield Step(self.clock.at(said["days_ago"] - 1, "08:50"), self._react(number, said))
        yield from self._papers()
        for said in self.course.rows("end"):
            yield Step(self._start(said, "12:20"), self._discharge(said))
        for number, said in enumerate(self.course.rows("booked")):
            starts = self.clock.working(-said["days_ahead"], said["at"])
            yield Step(self._last_day(), self._book("booked", number, said, starts))

    def _papers(self) -> Iterator[Step]:
        """What was written after the notes were signed."""
        for what, at in (("later", "13:05"), ("letter", "13:20"), ("request", "14:00")):
            for said in self.course.rows(what):
                yield Step(self._start(said, at), self._written(what, said))

    def _around_visit(self, number: int, said: Mapping[str, Any]) -> Iterator[Step]:
        starts = self._start(said)
        yield Step(self._booking(said), self._book("visit", number, said, starts))
        yield Step(starts, self._visit(number, said))
        for decided in said.get("decided", ()):
            if "follow_up_in" in decided:
                due = self.clock.working(said["days_ago"] - decided["follow_up_in"], "09:20")
                yield Step(due, self._follow_up(number, decided))
        if "discharge" in said:
            yield Step(starts, self._discharge(said["discharge"], after=starts))

    def _start(self, said: Mapping[str, Any], usual: str = "09:30") -> datetime:
        return self.clock.working(said["days_ago"], said.get("at", usual))

    def _booking(self, said: Mapping[str, Any]) -> datetime:
        return self.clock.working(said["days_ago"] + BOOKED_BEFORE, DESK_OPENS)

    def _last_day(self) -> datetime:
        """The end of the day on which something happened last."""
        rows = [row for table in ("visit", "missed", "call", "end") for row in self.course.rows(table)]
        return self.clock.working(min(row["days_ago"] for row in rows), END_OF_DAY)

    def _register(self) -> None:
        patients.register(who=self.who.desk, id=self.patient_id, **self.course.person)

    def _book(self, what: str, number: int, said: Mapping[str, Any], starts: datetime) -> Callable[[], None]:
        def write() -> None:
            appointments.make(
                who=self.who.desk,
                patient=self.patient,
                id=self._id(f"appointment of {what}", number),
                clinician=self.who.clinician,
                starts_at=starts,
                minutes=MINUTES,
                reason=said.get("reason", self.course.data["episode"]),
                all_the_same=True,
            )

        return write

    def _appointment(self, what: str, number: int) -> Appointment:
        return Appointment.objects.get(pk=self._id(f"appointment of {what}", number))

    def _miss(self, number: int, said: Mapping[str, Any]) -> Callable[[], None]:
        def write() -> None:
            row = self._appointment("missed", number)
            self.clock.forward(25)
            appointments.miss(who=self.who.desk, appointment=row, version=row.version, why=said["why"])

        return write

    def _visit(self, number: int, said: Mapping[str, Any]) -> Callable[[], None]:
        def write() -> None:
            visit = Visit.objects.filter(pk=self._id("visit", number)).first()
            if visit is None:
                visit = self._meet(number, said)
            if visit.signed_at is None and not said.get("open"):
                self.clock.forward(4)
                course_visit.sign(self.who.clinician, visit)

        return write

    @transaction.atomic
    def _meet(self, number: int, said: Mapping[str, Any]) -> Visit:
        row = self._appointment("visit", number)
        self.clock.forward(-6)
        row = appointments.arrive(who=self.who.desk, appointment=row, version=row.version)
        self.clock.forward(7)
        visit = appointments.begin(
            who=self.who.clinician,
            appointment=row,
            id=self._id("visit", number),
            about=self._about(number, said),
        )
        course_visit.VisitWriter(
            course=self.course,
            said=said,
            visit=visit,
            who=self.who.clinician,
            clock=self.clock,
            is_first=not number,
        ).write()
        if "insured" in self.course.data and visit.episode:
            insured = self.course.data["insured"]
            at = (visit.episode, self.who.clinician, self.clock, said["days_ago"])
            course_papers.InsurerWriter(insured, *at).write()
        return visit

    def _about(self, number: int, said: Mapping[str, Any]) -> About:
        if not number:
            return About(is_new=True, title=self.course.data["episode"])
        (episode,) = episodes_of(self.patient)
        return About(episode=episode.pk, words=said.get("reopened", ""))

    def _follow_up(self, number: int, decided: Mapping[str, Any]) -> Callable[[], None]:
        def write() -> None:
            row = Decision.objects.get(pk=uuid.uuid5(self._id("visit", number), decided["flag"]))
            flags.follow_up(who=self.who.clinician, decision=row, words=decided["followed"])

        return write

    def _written(self, what: str, said: Mapping[str, Any]) -> Callable[[], None]:
        def write() -> None:
            writer = course_letters.LetterWriter(self.patient, self.who.clinician, self.clock)
            getattr(writer, what)(said)

        return write

    def _call(self, number: int, said: Mapping[str, Any]) -> Callable[[], None]:
        def write() -> None:
            contacts.log(
                who=self.who.desk,
                patient=self.patient,
                id=self._id("call", number),
                way=said.get("way", "call_to"),
                happened_at=timezone.now(),
                words=said["words"],
                needs_follow_up=False,
            )

        return write

    def _react(self, number: int, said: Mapping[str, Any]) -> Callable[[], None]:
        """Reported on the telephone the day after; settled when it had passed."""

        def write() -> None:
            happened = self.clock.at(said["days_ago"], "19:00")
            about = {} if (last := self._last_needled_or_treated(said)) is None else last
            event = adverse_services.record_event(
                who=self.who.clinician,
                patient=self.patient,
                id=self._id("reaction", number),
                said=Happened(
                    happened_at=happened,
                    what=said["what"],
                    severity=said["severity"],
                    words=said["words"],
                    done=said["done"],
                    reported_by_patient=True,
                    **about,
                ),
            )
            self.clock.set(self._after(said["days_ago"]))
            adverse_services.follow_up(
                who=self.who.clinician, event=event, words=said["settled"], settles=True
            )

        return write

    def _last_needled_or_treated(self, said: Mapping[str, Any]) -> dict[str, Any] | None:
        """The entry of the visit before that it is thought to follow: of needles or tape first."""
        found = choices_of(self.patient)
        of_visit = [each for each in found if found and each.row.visit_id == found[0].row.visit_id]
        ranked = sorted(of_visit, key=lambda each: each.row.technique not in ("needling", "taping"))
        return ranked[0].about if ranked else None

    def _after(self, days_ago: int) -> datetime:
        """Some minutes into the next visit."""
        later = [visit for visit in self.course.visits if visit["days_ago"] < days_ago]
        starts = self._start(later[0]) if later else self.clock.at(max(days_ago - 5, 0), "09:00")
        return starts

    def _discharge(self, said: Mapping[str, Any], after: datetime | None = None) -> Callable[[], None]:
        def write() -> None:
            (episode,) = episodes_of(self.patient)
            if episode.events.filter(what=EpisodeEvent.What.DISCHARGED).exists():
                return
            if after:
                self.clock.set(max(visit.signed_at for visit in episode.visits.all() if visit.signed_at))
                self.clock.forward(2)
            seen = fingerprint(summary_of(course_of(self.who.clinician, episode)))
            progress.discharge(
                who=self.who.clinician,
                episode=episode,
                reason=said["reason"],
                words=said["words"],
                seen=seen,
            )

        return write
