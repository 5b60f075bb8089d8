"""Every change leaves one audit row in its own transaction: both are there, or neither."""

import uuid
from datetime import date, timedelta

import pytest
from django.apps import apps
from django.db import transaction
from django.utils import timezone

from bodymaps import atlas
from charting.appointments import services as appointments
from charting.assessment import services as assessment
from charting.assessment.models import Conclusion
from charting.assessment.written import Sentence, Written
from charting.audit.models import AuditEntry
from charting.audit.services import record
from charting.consent import services as consent
from charting.consent import wording
from charting.consent.texts import load as consent_texts
from charting.consent.wording import wording_of
from charting.contacts import services as contacts
from charting.contacts.decoding import Picture
from charting.contacts.models import Contact
from charting.drafts.models import Draft
from charting.drawing import services as drawing
from charting.drawing.models import BoardAnswer, EnteredInError
from charting.episodes import services as episodes
from charting.episodes.services import About
from charting.examination import services as examination
from charting.examination.joints import joint_of
from charting.examination.models import MuscleFinding
from charting.examination.range_limits import Taken
from charting.flags import services as danger_signs
from charting.flags.models import Decision
from charting.flags.queries import state_of_answers
from charting.handover import services as handover
from charting.history import services as history
from charting.history.models import StoryAnswer
from charting.history.queries import state_of, story_of
from charting.moving import services as moving
from charting.outcomes import services as outcomes
from charting.outcomes.models import OutcomeScore
from charting.patients import services as patients
from charting.progress import services as progress
from charting.progress.course import course_of
from charting.progress.summary import fingerprint, summary_of
from charting.screening import services as screening
from charting.screening.queries import state_of as neuro_state
from charting.treatment import adverse_services as adverse
from charting.treatment import gate_services, gates, home, home_services, incidents
from charting.treatment import services as treatment
from charting.treatment.done import Done
from charting.treatment.models import AdverseEvent, HomeProgramme, TreatmentEntry
from charting.treatment.where import Where
from charting.visits import services as visits
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.addresses import a_contact, a_decision, a_reaction, a_scan, danger_answers
from tests.charting.agreed import an_earlier
from tests.charting.appointments.booked import booked
from tests.charting.appointments.booked import said as a_time
from tests.charting.audit.changes import (
    coding,
    exchange,
    insurance,
    later,
    letters,
    merging,
    people_files,
    review,
    sentences,
    sign_in,
    sites,
)
from tests.charting.episodes import cared
from tests.charting.flags import conftest as flags

NEW = {"family_name": "Berger", "given_names": "Lea", "birth_date": date(1990, 1, 2)}


def register(who, visit):
    patients.register(who=who, **NEW)


def change(who, visit):
    patients.change(who=who, patient=visit.patient, version=1, **NEW)


def start(who, visit):
    visits.start(who=who, patient=visit.patient, clinician=who, id=uuid.uuid4())


def story(who, visit):
    history.save_story(who=who, visit=visit, version=0, complaint="Pain.", history="")


def answers(who, visit):
    told = {"version": story_of(visit).version, "answers": {"onset": "sudden", "allergy": "no"}}
    history.save_answers(who=who, visit=visit, **told, told_by="patient")


def carry_story(who, visit):
    before = Visit.objects.create(patient=visit.patient, clinician=who, episode=visit.episode)
    Visit.objects.filter(pk=before.pk).update(started_at=visit.started_at - timedelta(days=7))
    StoryAnswer.objects.create(visit=before, key="work", value="Says Mrs Keller")
    visit.story_answers.all().delete()
    history.carry_forward(who=who, visit=visit, version=story_of(visit).version)


def danger(who, visit):
    answers = {name: (said, "") for name, said in danger_answers(visit).items() if name != "state"}
    history.answer_danger_screen(who=who, visit=visit, state=state_of(visit), answers=answers)


def list_muscle(who, visit):
    lines = [examination.MuscleLine("infraspinatus", "right")]
    examination.add_muscles(who=who, visit=visit, lines=lines, known=atlas.load())


def a_listed_muscle(visit):
    said = {"muscle": "masseter", "side": "left", "position": 9}
    return MuscleFinding.objects.get_or_create(visit=visit, **said)[0]


def record_muscle(who, visit):
    row = a_listed_muscle(visit)
    said = {"version": row.version, "changes": {"band": "yes"}}
    examination.record_muscle(who=who, visit=visit, finding=row, **said, known=atlas.load())


def find_nothing(who, visit):
    visit.muscle_findings.all().delete()
    examination.nothing_in(who=who, visit=visit, findings={a_listed_muscle(visit).pk: 1})


def take_off_list(who, visit):
    visit.muscle_findings.all().delete()
    examination.remove_muscle(who=who, visit=visit, finding=a_listed_muscle(visit))


def record_joint(who, visit):
    readings = {("shoulder_flexion", "right"): Taken(hurts="no", remark="says Mrs Keller")}
    state = joint_of(visit, "shoulder").state
    said = {"joint": "shoulder", "state": state, "readings": readings, "tests": {}}
    examination.record_joints(who=who, visit=visit, **said)


def conclude(who, visit):
    row = visit.conclusions.filter(strokes=[]).first()
    said = {"stroke": "", "where": "", "version": row.version if row else 0, "areas": ()}
    own = Sentence("own:1", "own", "Pain of a muscle.")
    assessment.conclude(who=who, visit=visit, **said, said=Written(sentences=(own,)))


def record_reaction(who, visit):
    said = adverse.Happened(timezone.now(), "bruise", "mild", "A bruise.")
    adverse.record_event(who=who, patient=visit.patient, id=uuid.uuid4(), said=said)


def correct_reaction(who, visit):
    event = AdverseEvent.objects.get(pk=a_reaction(visit))
    said = adverse.Happened(timezone.now(), "bruise", "significant", "A large bruise.")
    adverse.correct_event(who=who, event=event, id=uuid.uuid4(), said=said)


def follow_up_reaction(who, visit):
    event = AdverseEvent.objects.get(pk=a_reaction(visit))
    adverse.follow_up(who=who, event=event, words="Gone.", settles=True)


def write_home(who, visit):
    items = [home.Item("Side bend", "Gently.", "Daily")]
    row = HomeProgramme.objects.filter(visit=visit).first()
    home_services.save_home(who=who, visit=visit, version=row.version if row else 0, items=items, words="")


def a_loose_conclusion(visit):
    return Conclusion.objects.create(visit=visit, strokes=["gone"], where="Area 1, Pain")


def leave_out_conclusion(who, visit):
    row = a_loose_conclusion(visit)
    assessment.leave_out(who=who, visit=visit, row=row, version=1, out=True)


def move_conclusion(who, visit):
    row = a_loose_conclusion(visit)
    assessment.move(who=who, visit=visit, row=row, version=1, areas=(), stroke="")


def neuro(who, visit):
    found = {("strength:C5", "right"): ("4", "")}
    screening.record_findings(who=who, visit=visit, state=neuro_state(visit), findings=found)


def sign_consent(who, visit):
    text = consent_texts()["examination"]
    named = {"signer": "patient", "signer_name": "Anna Keller", "questions": "", "device_time": ""}
    ink = {"signature": [[[1.0, 2.0], [90.0, 80.0]]], "by_typed_name": False}
    consent.sign(who=who, visit=visit, text=text, version=text.version, **named, **ink)


def confirm_consent(who, visit):
    consent.confirm(who=who, visit=visit, consent=an_earlier(visit), questions="Asks Keller: Pain?")


def withdraw_consent(who, visit):
    said = {"said_by": "Anna Keller, by telephone", "words": "No more Pain."}
    consent.withdraw(who=who, patient=visit.patient, consents=[an_earlier(visit)], **said)


def word_text(who, visit):
    text = wording_of(who.practice, "breast").text
    said = {"title": text.title, "for_what": "Pain", "parts": text.parts, "reason": "Pain of Keller"}
    wording.reword(who=who, text_id="breast", based_on=text.version, **said)


def take_text_out(who, visit):
    said = {"in_use": False, "reason": "Pain of Keller"}
    wording.use(who=who, text_id="groin", based_on=1, **said)


def draw(who, visit):
    answer = {
        "type": "answer",
        "id": str(uuid.uuid4()),
        "seq": 1,
        "intensities": {"ache": 3},
        "no_pain": False,
    }
    assert drawing.save_events(who=who, visit=visit, drawn_by="clinician", sent=[answer]).saved


def strike(who, visit):
    said = {"event_id": uuid.uuid4(), "seq": 1, "drawn_by": "patient", "body_sha256": "0" * 64}
    BoardAnswer.objects.create(visit=visit, no_pain=True, **said)
    moving.move_drawing(who=who, visit=visit, to=None, reason="Another person's.")


def bring_back(who, visit):
    rows = EnteredInError.objects.filter(visit=visit, moved_to=None)
    said = {"events": [], "reason": "Another person's.", "struck_by": who}
    moving.bring_back(
        who=who,
        strike=rows.first() or EnteredInError.objects.create(visit=visit, **said),
        reason="It is hers after all.",
    )


def answer_asked_on(who, visit):
    said = {"chest_now": ("no", "Last in May")}
    danger_signs.answer(who=who, visit=visit, state=state_of_answers(visit), answers=said)


def decide(who, visit):
    flags.say(visit, bladder_bowel_saddle="yes")
    flags.decide(who, visit, "cauda_equina")


def follow_up(who, visit):
    decision = Decision.objects.get(pk=a_decision(visit))
    danger_signs.follow_up(who=who, decision=decision, words="Pain is gone.")


def hand_over(who, visit):
    handover.hand_over(who=who, visit=visit)


def log_contact(who, visit):
    contacts.log(who=who, patient=visit.patient, **said())


def settle_contact(who, visit):
    contacts.settle(who=who, line=a_call(who, visit), **said())


def correct_contact(who, visit):
    contacts.correct(who=who, line=a_call(who, visit), **said())


def add_paper(who, visit):
    about = {"what": "letter", "title": "From Dr Berger", "dated": None}
    pictures = [Picture("image/png", b"pixels")]
    contacts.add_paper(who=who, patient=visit.patient, id=uuid.uuid4(), **about, pictures=pictures)


def strike_paper(who, visit):
    contacts.strike_paper(
        who=who, patient=visit.patient, paper=a_scan(visit), why="Keller is another person."
    )


def said():
    words = {"way": "call_from", "words": "Pain.", "needs_follow_up": True}
    return {"id": uuid.uuid4(), "happened_at": timezone.now(), **words}


def a_call(who, visit):
    return Contact.objects.get(pk=a_contact(visit))


def name_episode(who, visit):
    episodes.name(who=who, episode=cared.an_episode(visit.patient, who), version=1, title="Pain of Keller")


def discharge(who, visit):
    said = {"reason": "other", "words": "Pain is gone.", "summary": {}}
    episodes.discharge(who=who, episode=cared.an_episode(visit.patient, who), **said)


def end_with_summary(who, visit):
    episode = cared.an_episode(visit.patient, who)
    seen = fingerprint(summary_of(course_of(who, episode)))
    progress.discharge(who=who, episode=episode, reason="goals", words="Keller is well.", seen=seen)


def reopen(who, visit):
    episode = cared.an_episode(visit.patient, who)
    type(episode).objects.filter(pk=episode.pk).update(closed_at=timezone.now())
    episodes.reopen(who=who, episode=episode, words="Pain is back.")


def record_score(who, visit):
    said = {"instrument": "nprs", "answers": {"now": 4}}
    outcomes.save_scores(who=who, visit=visit, version=0, **said)


def take_score_out(who, visit):
    said = {"instrument": "ndi", "answers": {"sum": 20, "answered": 10}}
    row = OutcomeScore.objects.create(visit=visit, **said)
    outcomes.forget(who=who, visit=visit, instrument="ndi", version=row.version)


def make_appointment(who, visit):
    appointments.make(who=who, patient=visit.patient, **a_time(who, reason="Keller, Pain"), all_the_same=True)


def change_appointment(who, visit):
    said = {name: value for name, value in a_time(who).items() if name != "id"}
    row = booked(visit.patient, who)
    appointments.change(who=who, appointment=row, version=1, **said, all_the_same=True)


def come(who, visit):
    appointments.arrive(who=who, appointment=booked(visit.patient, who), version=1)


def not_come(who, visit):
    row = booked(visit.patient, who, state="arrived")
    appointments.not_here(who=who, appointment=row, version=1)


def cancel_appointment(who, visit):
    row = booked(visit.patient, who)
    appointments.cancel(who=who, appointment=row, version=1, why="Pain is gone.")


def miss_appointment(who, visit):
    appointments.miss(who=who, appointment=booked(visit.patient, who), version=1)


def begin_appointment(who, visit):
    appointments.begin(who=who, appointment=booked(visit.patient, who), id=uuid.uuid4())


def put_into(who, visit):
    visits.put_into(who=who, visit=visit, about=About(is_new=True, title=f"Pain {uuid.uuid4()}"))


def a_stretch(visit):
    """One entry of the visit, the same one when it is asked for again."""
    said = {"technique": "exercise", "dose": {"which": "Bridge"}, "entered_by": visit.clinician}
    return TreatmentEntry.objects.get_or_create(visit=visit, position=1, defaults=said)[0]


def treat(who, visit):
    said = Done("exercise", Where(), dose={"which": "Wall slide"}, remark="Pain of Keller is less.")
    treatment.add_entry(who=who, visit=visit, said=said, known=atlas.load())


def change_treatment(who, visit):
    row = a_stretch(visit)
    said = Done("exercise", Where(), dose={"which": "Bridge"}, remark="Pain.", minutes=5)
    treatment.change_entry(
        who=who, visit=visit, entry=row, version=row.version, said=said, known=atlas.load()
    )


def move_treatment(who, visit):
    row = a_stretch(visit)
    TreatmentEntry.objects.get_or_create(
        visit=visit, position=2, defaults={"technique": "exercise", "entered_by": visit.clinician}
    )
    treatment.move_entry(who=who, visit=visit, entry=row, step=1)


def remove_treatment(who, visit):
    row = a_stretch(visit)
    treatment.remove_entry(who=who, visit=visit, entry=row, version=row.version)


def repeat_treatment(who, visit):
    before = visit.started_at - timezone.timedelta(days=7)
    last = Visit.objects.filter(patient=visit.patient, started_at=before).first()
    if last is None:
        last = Visit.objects.create(patient=visit.patient, clinician=who)
        Visit.objects.filter(pk=last.pk).update(started_at=before)
    visit.treatments.all().delete()
    row = a_stretch(last)
    treatment.repeat_last(who=who, visit=visit, entries=[row.pk], known=atlas.load())


def go_past_a_gate(who, visit):
    at = Where("rhomboidei", "right")
    gate = next(one for one in gates.stops_in(gates.grounds_of(visit), at) if one.id == "asked:conditions")
    state = gates.state_of(gate)
    gate_services.override(who=who, visit=visit, at=at, gate=gate.id, state=state, reason="Pain.")


def give_late_advice(who, visit):
    gate_services.give_late_advice(who=who, visit=visit, words="Pain: call.", call="112", understood=True)


def record_incident(who, visit):
    recorded.treat(visit, "needling", "soleus.right", needles={**recorded.NEEDLES, "count_out": 2})
    state = incidents.state_of(incidents.shown_in(visit.treatments.all(), atlas.load()))
    said = {"words": "Pain.", "done": "Looked for.", "told_patient": True}
    gate_services.record_incident(who=who, visit=visit, state=state, **said)


CHANGES = {
    register: patients,
    change: patients,
    log_contact: contacts,
    settle_contact: contacts,
    correct_contact: contacts,
    add_paper: contacts,
    strike_paper: contacts,
    name_episode: episodes,
    discharge: episodes,
    end_with_summary: episodes,
    reopen: episodes,
    start: visits,
    put_into: visits,
    make_appointment: appointments,
    change_appointment: appointments,
    come: appointments,
    not_come: appointments,
    cancel_appointment: appointments,
    miss_appointment: appointments,
    begin_appointment: appointments,
    story: history,
    answers: history,
    carry_story: history,
    danger: history,
    neuro: screening,
    sign_consent: consent,
    confirm_consent: consent,
    withdraw_consent: consent,
    word_text: wording,
    take_text_out: wording,
    list_muscle: examination,
    record_muscle: examination,
    find_nothing: examination,
    take_off_list: examination,
    record_joint: examination,
    conclude: assessment,
    leave_out_conclusion: assessment,
    move_conclusion: assessment,
    draw: drawing,
    answer_asked_on: danger_signs,
    decide: danger_signs,
    follow_up: danger_signs,
    treat: treatment,
    change_treatment: treatment,
    move_treatment: treatment,
    remove_treatment: treatment,
    repeat_treatment: treatment,
    hand_over: handover,
    record_score: outcomes,
    take_score_out: outcomes,
    go_past_a_gate: gate_services,
    give_late_advice: gate_services,
    record_incident: gate_services,
    record_reaction: adverse,
    correct_reaction: adverse,
    follow_up_reaction: adverse,
    write_home: home_services,
    strike: moving,
    bring_back: moving,
    **insurance.CHANGES,
    **coding.CHANGES,
    **later.CHANGES,
    **letters.CHANGES,
    **merging.CHANGES,
    **exchange.CHANGES,
    **people_files.CHANGES,
    **review.CHANGES,
    **sentences.CHANGES,
    **sign_in.CHANGES,
    **sites.CHANGES,
}
# Those that change two nouns leave a row for each: the line of the log, the visit.
ROWS = {cancel_appointment: 2, miss_appointment: 2, begin_appointment: 2}
# Each of two records tells of what became of it, taking apart begins with a merge; a file and its person.
ROWS |= {merging.merge: 2, merging.unmerge: 4, people_files.take_in_file: 2}
EVERY = pytest.mark.parametrize("act", CHANGES, ids=lambda act: act.__name__)


def everything():
    tables = [table for table in apps.get_app_config("charting").get_models() if table is not Draft]
    return {table.__name__: list(table.objects.order_by("pk").values()) for table in tables}


@EVERY
def test_it_writes_one_row_for_a_change(act, blank, mara):
    before = AuditEntry.objects.count()
    act(mara, blank)
    rows = list(AuditEntry.objects.order_by("pk")[before:])
    assert len(rows) == ROWS.get(act, 1)
    assert (rows[0].actor_id, rows[0].actor, rows[0].role) == (mara.pk, "Mara Steiner", "clinician")
    assert rows[0].practice_id == mara.practice_id


@EVERY
def test_it_changes_nothing_when_the_row_can_not_be_written(act, blank, mara, monkeypatch):
    def fails(**what):
        raise RuntimeError("no room on the disk")

    before = everything()
    monkeypatch.setattr(CHANGES[act], "record", fails)
    with pytest.raises(RuntimeError, match="no room"), transaction.atomic():
        act(mara, blank)
    assert everything() == before


@EVERY
def test_it_leaves_no_row_for_a_change_that_is_rolled_back(act, blank, mara):
    before = everything()
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        act(mara, blank)
        raise ZeroDivisionError
    assert everything() == before


def test_it_holds_ids_and_counts_and_no_words_of_a_patient(blank, mara):
    for act in CHANGES:
        act(mara, blank)
    kept = str(list(AuditEntry.objects.values_list("detail", flat=True)))
    for word in ("Keller", "Berger", "Pain", "1990"):
        assert word not in kept


@pytest.mark.django_db(transaction=True)
def test_it_refuses_a_row_outside_the_transaction_of_its_change(mara):
    with pytest.raises(RuntimeError, match="outside the transaction"):
        record(who=mara, did="changed", what=mara)
