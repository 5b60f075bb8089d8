"""Every address of the clinic, and what a test sends there. Who may use it says access/who_may.txt alone."""

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from charting.appointments.models import Appointment
from charting.assessment.models import Conclusion
from charting.contacts.models import Attachment, Contact
from charting.drawing.models import EnteredInError
from charting.episodes.models import Episode
from charting.examination.joints import joint_of
from charting.examination.models import MuscleFinding
from charting.flags.models import Decision
from charting.flags.queries import state_of_answers
from charting.handover.models import HandOver
from charting.history import danger_screen
from charting.history.queries import state_of
from charting.patients.models import Patient
from charting.screening.queries import state_of as neuro_state
from charting.treatment.models import AdverseEvent, HomeProgramme, TreatmentEntry
from charting.visits.models import Visit
from tests.charting.access import who_may
from tests.charting.agreed import an_earlier
from tests.charting.appointments import booked
from tests.charting.patterns import drawn

Data = Callable[[Visit], dict[str, Any]]


@dataclass(frozen=True)
class Address:
    """One address and verb, and what is sent there."""

    name: str
    verb: str
    # What to send, and whether the address means a visit or a patient.
    data: Data = lambda visit: {}
    of: str = ""
    more: tuple[str, ...] = ()
    # The ids of rows of the practice, for an address that means no person.
    row: Callable[[Visit], Any] | None = None

    def url(self, visit: Visit) -> str:
        ids = {
            "visit": lambda: (visit.pk,),
            "patient": lambda: (visit.patient_id,),
            "strike": lambda: (visit.pk, a_struck_drawing(visit).pk),
            "home": lambda: (a_home_programme(visit).visit_id,),
            "hand-over": lambda: (an_ended_hand_over(visit).pk,),
            "": tuple,
        }
        row = [self.row(visit)] if self.row else []
        return reverse(self.name, args=[*ids[self.of](), *row, *self.more])

    @property
    def is_open(self) -> bool:
        """Whether somebody who has not signed in is answered too."""
        return who_may.table().answer(self.name, self.verb, "nobody") != who_may.SIGN_IN

    def __str__(self) -> str:
        return f"{self.verb} {self.name}"


def reads(name: str, **more: Any) -> Address:
    """A page of the chart."""
    return Address(name, "GET", of="visit", **more)


def writes(name: str, data: Data = lambda visit: {}, **more: Any) -> Address:
    """A change of the chart."""
    return Address(name, "POST", of="visit", data=data, **more)


def patterns(name: str, verb: str = "GET", **more: Any) -> Address:
    """What somebody with the right to write patterns uses."""
    return Address(f"patterns:{name}", verb, **more)


def a_pattern_drawing(visit: Visit) -> Any:
    return drawn.a_drawing(visit.patient.practice, visit.clinician).pk


def a_pattern(visit: Visit) -> Any:
    return drawn.a_version(visit.patient.practice).pattern


def a_pattern_file(visit: Visit) -> Any:
    return drawn.a_brought_file(visit.patient.practice).pk


def an_ended_hand_over(visit: Visit) -> HandOver:
    """One whose device has been given back."""
    ended = {"given_by": visit.clinician, "expires_at": timezone.now(), "ended_at": timezone.now()}
    return HandOver.objects.get_or_create(visit=visit, token_sha256="0" * 64, defaults=ended)[0]


def a_struck_drawing(visit: Visit) -> EnteredInError:
    said = {"events": [], "reason": "Another person's.", "struck_by": visit.clinician}
    return EnteredInError.objects.get_or_create(visit=visit, moved_to=None, defaults=said)[0]


def a_contact(visit: Visit) -> Any:
    """A call that is still to be followed up."""
    said = {"way": "call_from", "words": "Sore since.", "happened_at": timezone.now()}
    row = Contact(patient=visit.patient, written_by=visit.clinician, needs_follow_up=True, **said)
    row.save()
    return row.pk


def a_listed_muscle(visit: Visit) -> Any:
    said = {"muscle": "infraspinatus", "side": "left", "position": 1}
    return MuscleFinding.objects.get_or_create(visit=visit, **said)[0].pk


def an_entry(visit: Visit) -> dict[str, Any]:
    return {"place": "whole", "technique": "exercise", "dose_which": "Wall slide", "after": "0"}


def a_treatment(visit: Visit) -> Any:
    said = {"technique": "exercise", "position": 1, "dose": {"which": "Wall slide"}}
    return TreatmentEntry.objects.create(visit=visit, entered_by=visit.clinician, **said).pk


def a_needling(visit: Visit) -> Any:
    needles = {"gauge_mm": 0.25, "length_mm": 25, "count_in": 3, "count_out": None}
    said = {"technique": "needling", "muscle": "infraspinatus", "side": "right", "needles": needles}
    return TreatmentEntry.objects.create(visit=visit, entered_by=visit.clinician, position=1, **said).pk


def a_gate(visit: Visit) -> dict[str, Any]:
    return {"gate": "asked:anticoagulant", "state": "0" * 16, "reason": "Asked by telephone."}


def a_line(visit: Visit) -> dict[str, Any]:
    day = {"day_day": "4", "day_month": "May", "day_year": "2026", "at": "14:05"}
    return {"id": uuid.uuid4(), "way": "call_to", "words": "Better today.", **day}


def further(name: str, verb: str, **more: Any) -> Address:
    """A further line about a call."""
    return Address(name, verb, of="patient", row=a_contact, **more)


def of_consent(name: str, verb: str, **more: Any) -> Address:
    """What somebody agreed to over time."""
    return Address(name, verb, of="patient", **more)


def a_scan(visit: Visit) -> Any:
    about = {"what": "imaging", "title": "Scan", "media_type": "image/png", "content": b"", "sha256": ""}
    return Attachment.objects.create(patient=visit.patient, added_by=visit.clinician, **about).paper


def an_open_episode(visit: Visit) -> Any:
    said = {"opened_at": timezone.now(), "opened_by": visit.clinician}
    return Episode.objects.get_or_create(patient=visit.patient, title="Neck", defaults=said)[0].pk


def an_appointment(visit: Visit) -> Any:
    """Now, so that it can be lived through."""
    known = Appointment.objects.filter(patient=visit.patient).first()
    return (known or booked.booked(visit.patient, visit.clinician)).pk


def a_time(visit: Visit) -> dict[str, Any]:
    day = timezone.localdate(timezone=visit.patient.practice.zone)
    return {**booked.typed(visit.clinician, day, at="23:15"), "version": 1}


def a_discharged_episode(visit: Visit) -> Any:
    said = {"opened_at": timezone.now(), "closed_at": timezone.now(), "opened_by": visit.clinician}
    return Episode.objects.get_or_create(patient=visit.patient, title="Knee", defaults=said)[0].pk


def about_one(name: str, verb: str = "POST", **more: Any) -> Address:
    """One appointment."""
    return Address(name, verb, row=an_appointment, **more)


def about_episode(name: str, verb: str, row: Any, **more: Any) -> Address:
    """One episode."""
    return Address(name, verb, row=row, **more)


def a_decision(visit: Visit) -> Any:
    """One that is still to be followed up."""
    said = {"outcome": "known", "why": "Known.", "advised": "To call.", "understood": True}
    shown = {"title": "Heart", "level": "same_day", "level_words": "The same day", "reasons": []}
    due = {"follow_up_on": date(2026, 5, 4), "decided_by": visit.clinician}
    return Decision.objects.create(visit=visit, flag="heart", shown=shown, **said, **due).pk


def a_conclusion(visit: Visit) -> Any:
    """One about an area that is gone."""
    return Conclusion.objects.create(visit=visit, strokes=["gone"], where="Area 1, left neck").pk


def a_home_programme(visit: Visit) -> HomeProgramme:
    said = {"items": [{"title": "Side bend", "how": "", "dose": "Daily", "stop": ""}]}
    return HomeProgramme.objects.get_or_create(visit=visit, defaults=said)[0]


def a_reaction(visit: Visit) -> Any:
    """One that is still to be followed up."""
    said = {"what": "bruise", "severity": "mild", "words": "A bruise.", "recorded_by": visit.clinician}
    due = {"happened_at": timezone.now(), "follow_up_on": date(2026, 5, 4)}
    return AdverseEvent.objects.create(patient=visit.patient, visit=visit, **said, **due).pk


def a_reaction_as_sent() -> dict[str, Any]:
    day = {"day_day": "4", "day_month": "May", "day_year": "2026", "at": "14:05"}
    said = {"what": "bruise", "severity": "mild", "words": "A bruise on the shoulder."}
    return {"id": uuid.uuid4(), **said, **day}


def about(patient: Patient, **others: Any) -> dict[str, Any]:
    """The form of a person as a browser sends it."""
    born = patient.birth_date
    parts = {"birth_date_day": born.day, "birth_date_month": born.month, "birth_date_year": born.year}
    names = {name: getattr(patient, name) for name in ("family_name", "given_names", "phone", "version")}
    return {**names, **parts, **others}


def danger_answers(visit: Visit, **others: str) -> dict[str, str]:
    no = {question.id: "no" for question in danger_screen.load().questions}
    return {**no, "state": state_of(visit), **others}


def a_paper(visit: Visit) -> dict[str, Any]:
    day = {"drawn_on_day": "4", "drawn_on_month": "May", "drawn_on_year": "2026"}
    return {"id": "0d3f8f5e-41ab-4b43-8a39-5f3f1c0b7a51", "drawn_by": "patient", **day}


def signature(**others: Any) -> dict[str, Any]:
    sent = {"signer": "patient", "signer_name": "Anna Keller", "version": 1}
    return {**sent, "ink": "[[[10, 10], [200, 150]]]", **others}


ADDRESSES = (
    Address("today", "GET"),
    Address("sign-in", "GET"),
    Address("sign-in", "POST", data=lambda visit: {"username": "nobody", "password": "not the password"}),
    Address("sign-out", "POST"),
    Address("tablet", "GET"),
    Address("authority", "GET"),
    Address("pieces", "GET"),
    Address("healthz", "GET"),
    Address("readyz", "GET"),
    Address("draft-keep", "POST", data=lambda visit: {"draft_key": "sample", "words": "half a sent"}),
    Address("draft-forget", "POST", data=lambda visit: {"draft_key": "sample"}),
    Address("patients", "GET"),
    Address("patients", "POST", data=lambda visit: {"q": "keller"}),
    Address("patient-new", "GET"),
    Address("patient-new", "POST", data=lambda visit: about(visit.patient, family_name="Somebody New")),
    Address("patient", "GET", of="patient"),
    Address("patient-edit", "GET", of="patient"),
    Address(
        "patient-edit",
        "POST",
        of="patient",
        data=lambda visit: about(Patient.objects.get(pk=visit.patient_id), phone="000 000 99"),
    ),
    Address("visit-start", "GET", of="patient"),
    Address(
        "visit-start",
        "POST",
        of="patient",
        data=lambda visit: {
            "id": "5a0d2b8e-6f0c-4e7e-9a56-3c1f7c8f1d11",
            "clinician": visit.clinician_id,
        },
    ),
    Address("visit-complaint", "GET", of="visit"),
    writes("visit-complaint", lambda visit: {"which": "new", "title": "Left knee"}),
    about_episode("episode-title", "GET", an_open_episode),
    about_episode("episode-title", "POST", an_open_episode, data=lambda _: {"version": 1, "title": "Hip"}),
    about_episode("episode-reopen", "GET", a_discharged_episode),
    about_episode("episode-reopen", "POST", a_discharged_episode, data=lambda visit: {"words": "Back."}),
    Address("appointment-who", "GET"),
    Address("appointment-who", "POST", data=lambda visit: {"q": "keller"}),
    Address("appointment-new", "GET", of="patient"),
    Address("appointment-new", "POST", of="patient", data=a_time),
    about_one("appointment", "GET"),
    about_one("appointment", data=a_time),
    about_one("appointment-here", data=lambda visit: {"version": 1}),
    about_one("appointment-begin", "GET"),
    about_one("appointment-begin", data=lambda visit: {"id": uuid.uuid4()}),
    about_one("appointment-missed", data=lambda visit: {"missed-version": 1}),
    about_one(
        "appointment-cancel",
        data=lambda visit: {"cancel-version": 1, "cancel-why": "Has a cold."},
    ),
    Address("contacts", "GET", of="patient"),
    Address("contacts", "POST", of="patient", data=a_line),
    further("contact-settle", "GET"),
    further("contact-settle", "POST", data=a_line),
    further("contact-correct", "GET"),
    further("contact-correct", "POST", data=a_line),
    Address("papers", "GET", of="patient"),
    Address("papers", "POST", of="patient"),
    Address("paper", "GET", of="patient", row=a_scan),
    Address("paper-picture", "GET", of="patient", row=a_scan, more=("1",)),
    Address(
        "paper-strike",
        "POST",
        of="patient",
        row=a_scan,
        data=lambda visit: {"why": "Another person's."},
    ),
    reads("visit"),
    reads("story"),
    writes("story", lambda visit: {"version": 0, "complaint": "Pain.", "history": ""}),
    writes("story-carry", lambda visit: {"version": "0"}),
    reads("outcomes"),
    writes("outcomes", lambda visit: {"nprs_now": "4"}),
    reads("danger-screen"),
    writes("danger-screen", danger_answers),
    reads("drawing-step"),
    Address("drawing", "GET", of="visit"),
    writes("drawing-save"),
    Address("drawing-sheets", "GET", of="visit"),
    writes("drawing-sheets", a_paper),
    Address("blank-sheet", "GET"),
    Address("visit-sheet", "GET", of="visit"),
    reads("drawing-words"),
    Address("drawing-areas", "GET", of="visit"),
    Address("drawing-key", "GET", of="visit"),
    Address("hand-over", "GET", of="visit"),
    Address("hand-over", "POST", of="visit"),
    Address("hand-over-key", "GET", of="hand-over"),
    Address("hand-over-rest", "POST", of="hand-over"),
    Address("hand-over-late", "POST", of="hand-over"),
    # The patient's side: no staff session opens it, only the token of a hand-over.
    Address("board", "GET"),
    Address("board-confirm", "POST"),
    Address("board-save", "POST"),
    Address("board-words", "GET"),
    Address("board-areas", "GET"),
    Address("board-worker", "GET"),
    Address("board-offline", "GET"),
    Address("board-done", "GET"),
    Address("tell", "GET"),
    Address("tell-screen", "GET", more=("chest",)),
    Address("tell-screen", "POST", more=("chest",)),
    Address("board-on", "GET"),
    Address("intake-scores", "GET"),
    Address("intake-score", "GET", more=("nprs-now",)),
    Address("intake-score", "POST", more=("nprs-now",)),
    Address("intake-reading", "GET"),
    Address("intake-read", "GET", more=("examination", "1")),
    Address("intake-read", "POST", more=("examination", "1")),
    Address("intake-read-end", "GET"),
    Address("intake-read-end", "POST"),
    Address("board-late", "POST"),
    reads("told"),
    # A change needs a telling, and here is none.
    Address("told", "POST", of="visit"),
    Address("told-now", "GET"),
    Address("drawing-move", "GET", of="visit"),
    writes(
        "drawing-move",
        lambda visit: {"to": "nowhere", "layers": "patient", "reason": "Another person's.", "sure": "yes"},
    ),
    Address("drawing-struck", "GET", of="strike"),
    Address(
        "drawing-struck",
        "POST",
        of="strike",
        data=lambda visit: {"reason": "It is hers after all."},
    ),
    # Holds no patient data: for all staff.
    Address("patterns:list", "GET"),
    Address("patterns:export", "GET"),
    Address("patterns:pattern", "GET", row=a_pattern),
    patterns("draw"),
    patterns("draw", "POST"),
    patterns("import"),
    patterns("import", "POST"),
    patterns("planned", row=a_pattern_file),
    patterns("planned", "POST", row=a_pattern_file),
    patterns("board", row=a_pattern_drawing),
    patterns("save", "POST", row=a_pattern_drawing),
    patterns("words", row=a_pattern_drawing),
    patterns("key", row=a_pattern_drawing),
    patterns("finish", row=a_pattern_drawing),
    patterns("finish", "POST", row=a_pattern_drawing),
    patterns("use", "POST", row=a_pattern),
    Address("patterns:writers", "GET"),
    Address(
        "patterns:writers",
        "POST",
        data=lambda visit: {"user": visit.clinician_id, "writes": "on"},
    ),
    Address("atlas", "GET"),
    Address("atlas-entry", "GET", more=("muscle", "infraspinatus")),
    Address("atlas-sources", "GET"),
    Address("rules", "GET"),
    Address("muscle-sheet", "GET", more=("infraspinatus",)),
    reads("flags"),
    writes("flag-answers", lambda visit: {"state": state_of_answers(visit), "chest_now": "no"}),
    writes("flag-decide", lambda visit: {}, more=("cauda_equina",)),
    reads("follow-up", row=a_decision),
    writes("follow-up", lambda visit: {"words": "Seen; nothing found."}, row=a_decision),
    reads("candidates"),
    reads("vitals"),
    writes("vitals", lambda visit: {"state": neuro_state(visit, "vital"), "vital_pulse": "72"}),
    reads("neuro-screen"),
    reads("muscles"),
    writes("muscles-add", lambda visit: {"line": "infraspinatus.right"}),
    writes("muscles-nothing"),
    writes("muscle-save", lambda visit: {"version": "1", "band": "yes"}, row=a_listed_muscle),
    writes("muscle-remove", row=a_listed_muscle),
    reads("joints"),
    writes(
        "joints",
        lambda visit: {
            "joint": "shoulder",
            "state": joint_of(visit, "shoulder").state,
            "range_shoulder_flexion_right_hurts": "no",
        },
    ),
    reads("assessment"),
    writes("assessment", lambda visit: {"stroke": "", "version": 0, "own": "Muscle, most likely."}),
    writes("assessment-gone", lambda visit: {"version": 1, "leave_out": ""}, row=a_conclusion),
    writes(
        "neuro-screen",
        lambda visit: {"state": neuro_state(visit), "strength_C5_right": "4", "strength_C5_left": "5"},
    ),
    reads("consents"),
    Address(
        "consent-sign",
        "GET",
        of="visit",
        more=("examination",),
    ),
    writes("consent-sign", lambda visit: signature(), more=("examination",)),
    writes("consent-confirm", row=lambda visit: an_earlier(visit).pk),
    of_consent("patient-consents", "GET"),
    of_consent("consent-copy", "GET", row=lambda visit: an_earlier(visit).pk),
    of_consent("consent-withdraw", "GET", row=lambda visit: an_earlier(visit).pk),
    of_consent("consent-withdraw", "POST", row=lambda visit: an_earlier(visit).pk),
    # The words hold no patient data: read by all staff, each in the own practice.
    Address("consent-texts", "GET"),
    Address("consent-text", "GET", more=("examination",)),
    Address("consent-text-version", "GET", more=("examination", "1")),
    Address("consent-text-edit", "GET", more=("examination",)),
    Address("consent-text-edit", "POST", more=("examination",)),
    Address("consent-text-use", "POST", more=("examination",)),
    reads("home-programme"),
    writes("home-programme", lambda visit: {"version": "0", "title_1": "Side bend", "dose_1": "Daily"}),
    Address("home-sheet", "GET", of="home"),
    Address("reactions", "GET", of="patient"),
    Address(
        "reactions",
        "POST",
        of="patient",
        data=lambda visit: a_reaction_as_sent(),
    ),
    *(
        Address(name, verb, of="patient", **more)
        for name, sent in (
            ("reaction-follow-up", {"words": "Gone.", "settles": "yes"}),
            ("reaction-correct", {}),
        )
        for verb, more in (
            ("GET", {"row": a_reaction}),
            ("POST", {"row": a_reaction, "data": lambda visit, sent=sent: sent or a_reaction_as_sent()}),
        )
    ),
    reads("treatment"),
    writes("treatment-add", an_entry),
    writes("treatment-repeat", lambda visit: {}),
    writes("treatment-change", lambda visit: {**an_entry(visit), "version": "1"}, row=a_treatment),
    writes("treatment-count", lambda visit: {"version": "1", "count_out": "3"}, row=a_needling),
    writes("treatment-remove", lambda visit: {"version": "1"}, row=a_treatment),
    writes("treatment-move", lambda visit: {"to": "up"}, row=a_treatment),
    reads("gates", more=("rhomboidei.right",)),
    writes("gates", a_gate, more=("rhomboidei.right",)),
    reads("late-advice"),
    writes("late-advice", lambda visit: {"words": "Short breath: call.", "call": "112", "understood": "yes"}),
    reads("needle-incident"),
    writes("needle-incident", lambda visit: {"state": "0" * 16, "words": "One short.", "done": "Found."}),
    Address("progress", "GET", of="patient"),
    Address("progress-compare", "GET", of="patient"),
    Address("discharge", "GET", of="patient", row=an_open_episode),
    Address(
        "discharge",
        "POST",
        of="patient",
        row=an_open_episode,
        data=lambda visit: {"reason": "goals", "words": "Well again.", "seen": ""},
    ),
    reads("note"),
    writes("note", lambda visit: {"version": 0, "assessment": "Tender.", "plan": ""}),
    reads("note-sign"),
    writes("note-sign", lambda visit: {"read": "x", "password": "not the password"}),
    reads("note-pdf"),
    # Only a signed note has addenda.
    Address("note-addendum", "POST", of="visit"),
)


def every_name() -> set[str]:
    """The names of all addresses that the clinic answers to."""
    return {name for pattern in get_resolver().url_patterns for name in _names(pattern)}


def _names(pattern: URLPattern | URLResolver) -> set[str]:
    if isinstance(pattern, URLResolver):
        space = f"{pattern.app_name}:" if pattern.app_name else ""
        return {f"{space}{name}" for inner in pattern.url_patterns for name in _names(inner)}
    return {pattern.name or str(pattern.pattern)}
