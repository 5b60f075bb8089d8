"""What is written once can't be changed or removed: not by a model, in bulk, or in plain SQL."""

import importlib
import uuid
from datetime import date

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction
from django.db.models import F
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.audit.services import record_look
from charting.consent.models import Consent, ConsentConfirmed, ConsentTextVersion, ConsentWithdrawn
from charting.contacts.models import Attachment, AttachmentStruck, Contact
from charting.drawing.models import (
    AreaAnswer,
    BoardAnswer,
    ClearedParts,
    EnteredInError,
    Grouping,
    PaperSheet,
    StoredStroke,
    Withdrawal,
)
from charting.episodes.models import Episode, EpisodeEvent
from charting.flags.models import Decision, FollowUp
from charting.history.models import StandingFact
from charting.insurance.models import Certification, Claim, WorkStatus
from charting.intake.models import ConsentRead
from charting.letters.models import Letter, LetterPaper, SignedLetter
from charting.merging.models import PatientMerge, PatientUnmerge
from charting.notes.models import (
    Addendum,
    AmendmentRequest,
    AmendmentStep,
    CoSignature,
    SignedNote,
    SignedPaper,
)
from charting.patients.models import Patient
from charting.patterns import models as patterns
from charting.report.models import IssuedPaper
from charting.treatment.models import (
    AdverseEvent,
    AdverseFollowUp,
    GateOverride,
    LateAdvice,
    NeedleIncident,
)
from tests.charting import recorded
from tests.charting.addresses import a_contact, a_scan, an_ended_hand_over
from tests.charting.patterns import drawn

TABLES = (
    *importlib.import_module("charting.migrations.0002_append_only").TABLES,
    *importlib.import_module("charting.migrations.0003_board").NEW,
    *importlib.import_module("charting.migrations.0005_own_patterns").TABLES,
    *importlib.import_module("charting.migrations.0007_story_and_flags").TABLES,
    *importlib.import_module("charting.migrations.0011_care_over_weeks").TABLES,
    *importlib.import_module("charting.migrations.0014_papers_and_exchange").TABLES,
)
BOARD = (StoredStroke, Withdrawal, BoardAnswer, Grouping, AreaAnswer, ClearedParts)
NOTES = (SignedNote, SignedPaper, Addendum)
BETWEEN = (Contact, Attachment, AttachmentStruck)
FLAGS = (StandingFact, Decision, FollowUp)
AGREED = (Consent, ConsentTextVersion, ConsentConfirmed, ConsentWithdrawn, ConsentRead)
OVER_WEEKS = (EpisodeEvent, NeedleIncident, GateOverride, LateAdvice, AdverseEvent, AdverseFollowUp)
PAPERS = (AmendmentRequest, AmendmentStep, CoSignature, SignedLetter, LetterPaper, IssuedPaper)
INSURED = (WorkStatus, Certification)
MERGED = (PatientMerge, PatientUnmerge)
MODELS = (
    AuditEntry,
    *BOARD,
    PaperSheet,
    EnteredInError,
    *NOTES,
    *patterns.TABLES,
    *BETWEEN,
    *FLAGS,
    *AGREED,
    *OVER_WEEKS,
    *PAPERS,
    *INSURED,
    *MERGED,
)
EACH = pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)


@pytest.fixture
def rows(visit, mara):
    """One row at least in each append-only table."""
    record_look(who=mara, at=visit)
    event = {"visit": visit, "drawn_by": "patient", "body_sha256": "0" * 64}
    Withdrawal.objects.create(**event, event_id=uuid.uuid4(), seq=90, strokes=[])
    Grouping.objects.create(**event, event_id=uuid.uuid4(), seq=91, strokes=[], together=True)
    AreaAnswer.objects.create(**event, event_id=uuid.uuid4(), seq=92, strokes=[], answers={})
    ClearedParts.objects.create(**event, event_id=uuid.uuid4(), seq=93, parts=[])
    PaperSheet.objects.create(visit=visit, drawn_by="patient", drawn_on=date(2026, 5, 4), entered_by=mara)
    EnteredInError.objects.create(visit=visit, events=[], reason="Another person's.", struck_by=mara)
    now = {"signed_at": timezone.now(), "time_zone": "UTC"}
    note = SignedNote.objects.create(
        visit=visit, signed_by=mara, signer_name="Mara Steiner", content={}, content_sha256="", **now
    )
    SignedPaper.objects.create(note=note, paper="a4", pdf=b"%PDF", sha256="")
    Addendum.objects.create(
        note=note, number=1, author=mara, author_name="Mara Steiner", text="More.", written_at=timezone.now()
    )
    a_contact(visit)
    AttachmentStruck.objects.create(paper=a_scan(visit), why="Another person's.", struck_by=mara)
    StandingFact.objects.create(patient=visit.patient, key="smoker", value="no", confirmed_by=mara)
    decided = {"outcome": "cleared", "why": "Asked again.", "understood": True, "decided_by": mara}
    decision = Decision.objects.create(visit=visit, flag="cauda_equina", shown={}, **decided)
    FollowUp.objects.create(decision=decision, words="Better.", done_by=mara)
    drawing = drawn.a_drawing(visit.patient.practice, mara)
    sent = {"drawing": drawing, "drawn_by": mara, "body_sha256": "0" * 64}
    line = {"view": "front", "kind": "core", "mode": "draw", "nib_mm": 12, "points": []}
    patterns.PatternStroke.objects.create(**sent, event_id=uuid.uuid4(), seq=1, **line)
    patterns.PatternWithdrawal.objects.create(**sent, event_id=uuid.uuid4(), seq=2, strokes=[])
    drawn.a_version(drawing.practice)
    drawn.a_brought_file(drawing.practice)
    agreed_and_treated(visit, mara)
    on_paper(visit, note, mara)
    insured_and_merged(visit, mara)


def agreed_and_treated(visit, mara):
    consent = recorded.consent(visit)
    ConsentConfirmed.objects.create(consent=consent, visit=visit, confirmed_by=mara)
    ConsentWithdrawn.objects.create(consent=consent, said_by="Anna Keller", recorded_by=mara)
    text = {"text_id": "examination", "number": 2, "title": "Examination", "parts": [], "treats": False}
    ConsentTextVersion.objects.create(
        practice=visit.patient.practice, written_by=mara, reason="Ours.", **text
    )
    held = an_ended_hand_over(visit)
    ConsentRead.objects.create(visit=visit, hand_over=held, text_id="examination", text_version=1)
    episode = Episode.objects.create(patient=visit.patient, opened_at=timezone.now(), opened_by=mara)
    EpisodeEvent.objects.create(episode=episode, what="discharged", done_by=mara)
    said = {"shown": [], "words": "One bent.", "done": "Taken out.", "told_patient": True}
    NeedleIncident.objects.create(visit=visit, recorded_by=mara, **said)
    GateOverride.objects.create(visit=visit, gate="consent", shown={}, reason="Spoken.", decided_by=mara)
    LateAdvice.objects.create(
        visit=visit, words="Breathless: call.", call="112", understood=True, given_by=mara
    )
    event = {"happened_at": timezone.now(), "what": "bruise", "severity": "mild", "recorded_by": mara}
    bruise = AdverseEvent.objects.create(patient=visit.patient, **event)
    AdverseFollowUp.objects.create(event=bruise, words="Gone.", done_by=mara)


def on_paper(visit, note, mara):
    person, now = visit.patient, timezone.now()
    signer = {"signed_by": mara, "signer_name": "Mara Steiner", "signed_at": now, "content_sha256": ""}
    CoSignature.objects.create(note=note, **signer)
    asked = {"received_on": date(2026, 3, 1), "asked_by": "Anna Keller", "words": "It was the left."}
    request = AmendmentRequest.objects.create(patient=person, visit=visit, recorded_by=mara, **asked)
    AmendmentStep.objects.create(request=request, what="accepted", done_on=date(2026, 3, 4), done_by=mara)
    episode = Episode.objects.create(patient=person, opened_at=now, opened_by=mara)
    letter = Letter.objects.create(patient=person, episode=episode, kind="referrer", begun_by=mara)
    signed = SignedLetter.objects.create(letter=letter, time_zone="UTC", content={}, **signer)
    LetterPaper.objects.create(signed=signed, paper="a4", pdf=b"%PDF", sha256="")
    given = {"kind": "home", "source_sha256": "", "paper": "a4", "pdf": b"%PDF", "sha256": ""}
    IssuedPaper.objects.create(patient=person, visit=visit, issued_by=mara, **given)


def insured_and_merged(visit, mara):
    episode = Episode.objects.create(patient=visit.patient, opened_at=timezone.now(), opened_by=mara)
    claim = Claim.objects.create(episode=episode)
    WorkStatus.objects.create(claim=claim, status="full", from_on=date(2026, 3, 1), recorded_by=mara)
    days = {name: date(2026, 3, 1) for name in ("certified_on", "valid_from", "valid_until")}
    Certification.objects.create(claim=claim, certified_by="Dr Lang", recorded_by=mara, **days)
    gone = recorded.patient(visit.patient.practice, number=99)
    said = {"kept": visit.patient, "gone": gone, "moved": {}, "stood": {}, "reason": "The same person."}
    merge = PatientMerge.objects.create(done_by=mara, **said)
    PatientUnmerge.objects.create(merge=merge, reason="Twins.", done_by=mara)


def refused():
    """What must not work; inside a savepoint, so that the test can go on."""
    return pytest.raises(DatabaseError, match="append-only")


def column(model) -> str:
    """Some column that is not the key."""
    return next(field.column for field in model._meta.concrete_fields if not field.primary_key)


def test_it_guards_exactly_these_tables():
    assert {model._meta.db_table for model in MODELS} == set(TABLES)


@EACH
def test_it_refuses_to_save_a_row_again(model, rows):
    row = model.objects.first()
    with refused(), transaction.atomic():
        row.save()


@EACH
def test_it_refuses_an_update_in_bulk(model, rows):
    with refused(), transaction.atomic():
        model.objects.update(**{column(model): F(column(model))})


@EACH
def test_it_refuses_to_delete_a_row(model, rows):
    with refused(), transaction.atomic():
        model.objects.filter(pk=model.objects.first().pk)._raw_delete(using="default")


@EACH
def test_it_refuses_plain_sql(model, rows):
    table, name = model._meta.db_table, column(model)
    for statement in (f"UPDATE {table} SET {name} = {name}", f"DELETE FROM {table}"):  # noqa: S608 - our own
        with refused(), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)


@EACH
def test_it_refuses_to_empty_or_replace(model, rows):
    table = model._meta.db_table
    if connection.vendor == "postgresql":
        # Checks still waiting for the commit would refuse first.
        statement = f"SET CONSTRAINTS ALL IMMEDIATE; TRUNCATE {table} CASCADE"
    else:
        names = ", ".join(field.column for field in model._meta.concrete_fields)
        same = f"SELECT {names} FROM {table} LIMIT 1"  # noqa: S608 - our own
        statement = f"INSERT OR REPLACE INTO {table} ({names}) {same}"
    with refused(), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


@EACH
def test_it_keeps_every_row_after_all_that(model, rows):
    before = list(model.objects.order_by("pk").values())
    with refused(), transaction.atomic():
        model.objects.all()._raw_delete(using="default")
    assert before and list(model.objects.order_by("pk").values()) == before


def test_it_lets_other_tables_change(anna):
    assert Patient.objects.filter(pk=anna.pk).update(phone="000") == 1


def test_it_has_no_other_table_that_says_it_is_append_only():
    saying = {
        model._meta.db_table
        for model in apps.get_app_config("charting").get_models()
        if "Append-only" in (model.__doc__ or "")
    }
    assert saying == set(TABLES)


def test_it_takes_new_rows(practice, mara):
    person = recorded.patient(practice, number=7)
    record_look(who=mara, at=person)
    assert AuditEntry.objects.filter(object_id=str(person.pk), at__date__gte=date(2020, 1, 1)).exists()
