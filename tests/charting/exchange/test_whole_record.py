"""The right of access: one file with everything that is kept about a person, and nothing of anybody else."""

import io
import json
import uuid
import zipfile

import pytest
from django.apps import apps
from django.core.exceptions import PermissionDenied
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.contacts.models import Attachment, AttachmentStruck, Contact
from charting.drawing.models import EnteredInError, StoredStroke
from charting.exchange import export_services
from charting.exchange.whole import rows
from charting.handover.models import HandOver
from tests.charting import recorded
from tests.charting.exchange import exported

# Tables without a row of any person, and why.
NOT_OF_A_PERSON = {
    *("Practice", "User", "SignInTry", "Payer", "TextBlock", "ConsentTextVersion"),
    *("PatternDrawing", "PatternStroke", "PatternWithdrawal", "PatternFile", "PatternVersion"),
    # Read in another way, as who looked; by the paper; not saved yet; a file before it is taken in.
    *("AuditEntry", "AttachmentStruck", "Draft", "ImportFile"),
    # Of who works here; and of who is gone.
    *("BackupCode", "SecondFactor", "StaffSession", "Site", "Purge"),
}


def taken(who, patient):
    pieces = list(export_services.give_everything(who=who, patient=patient))
    return zipfile.ZipFile(io.BytesIO(b"".join(pieces))), pieces


def record_in(whole):
    return json.loads(whole.read("record.json"))


def an_attachment(anna, mara, title="MRI of the neck"):
    content = b"\x89PNG picture of " + title.encode()
    return Attachment.objects.create(
        patient=anna,
        what="imaging",
        title=title,
        media_type="image/png",
        content=content,
        sha256="0" * 64,
        added_by=mara,
    )


def test_no_table_of_the_chart_is_forgotten():
    known = {model.__name__ for model in rows.tables()}
    every = {model.__name__ for model in apps.get_app_config("charting").get_models()}
    left = {name for name in every - known if not name.startswith("Payer")}
    assert left <= NOT_OF_A_PERSON, f"say in rows.py how {left - NOT_OF_A_PERSON} belong to a person"


def test_everything_is_in_the_file(signed_visit, mara):
    note = signed_visit.signed_note
    exported.amended(note)
    scan = an_attachment(signed_visit.patient, mara)
    whole, _ = taken(mara, signed_visit.patient)
    assert whole.testzip() is None
    names = whole.namelist()
    assert names[0] == "index.html"
    for row in note.papers.all():
        later = f"-with-{row.addenda}-later" if row.addenda else ""
        (name,) = [each for each in names if each.endswith(f"/note{later}-{row.paper}.pdf")]
        assert whole.read(name) == bytes(row.pdf)
    (picture,) = [each for each in names if each.startswith("from-others/")]
    assert whole.read(picture) == bytes(scan.content)
    assert len([each for each in names if each.endswith(".svg")]) == 2
    kept = record_in(whole)["rows"]
    assert {"patient", "visit", "storedstroke", "signednote", "treatmententry", "consent"} <= set(kept)
    assert len(kept["storedstroke"]) == StoredStroke.objects.count()
    assert json.loads(whole.read("fhir-bundle.json"))["resourceType"] == "Bundle"


def test_the_first_page_leads_to_every_file_of_the_visits(signed_visit, mara):
    whole, _ = taken(mara, signed_visit.patient)
    page = whole.read("index.html").decode()
    for name in whole.namelist():
        assert name == "index.html" or f'href="{name}"' in page, name
    assert "Pain in the front of the right shoulder." in page
    assert "src=" not in page and "http" not in page


def test_calls_stand_on_the_first_page(visit, mara):
    said = {"patient": visit.patient, "way": "call_from", "happened_at": timezone.now()}
    Contact.objects.create(**said, words="Slept <badly>.", written_by=mara)
    whole, _ = taken(mara, visit.patient)
    assert "Slept &lt;badly&gt;." in whole.read("index.html").decode()


def test_it_says_who_looked(signed_visit, mara, as_mara):
    as_mara.get(f"/patients/{signed_visit.patient_id}/")
    whole, _ = taken(mara, signed_visit.patient)
    page = whole.read("who-looked.html").decode()
    assert "opened patient" in page and "gave out whole record" in page and "Mara Steiner" in page
    assert [each["action"] for each in record_in(whole)["who_looked"]].count("opened patient") == 1


def test_nothing_of_anybody_else_is_in_it(signed_visit, mara, practice):
    ben = recorded.patient(practice, number=77)
    Contact.objects.create(
        patient=ben, way="call_from", happened_at=timezone.now(), words="Of Ben alone.", written_by=mara
    )
    wrong = an_attachment(signed_visit.patient, mara, title="Of somebody else")
    AttachmentStruck.objects.create(paper=wrong.paper, why="wrong chart", struck_by=mara)
    strokes = StoredStroke.objects.filter(visit=signed_visit).order_by("seq")
    EnteredInError.objects.create(
        visit=signed_visit, events=[str(strokes[0].event_id)], reason="Another person", struck_by=mara
    )
    whole, pieces = taken(mara, signed_visit.patient)
    everything = b"".join(whole.read(name) for name in whole.namelist())
    assert b"Of Ben alone." not in everything and b"Of somebody else" not in everything
    kept = {row["event_id"] for row in record_in(whole)["rows"]["storedstroke"]}
    assert str(strokes[0].event_id) not in kept and str(strokes[1].event_id) in kept


def test_no_key_to_a_door_is_in_it(visit, mara):
    HandOver.objects.create(visit=visit, given_by=mara, token_sha256="a1" * 32, expires_at=timezone.now())
    whole, _ = taken(mara, visit.patient)
    (row,) = record_in(whole)["rows"]["handover"]
    assert "token_sha256" not in row and "a1" * 32 not in str(record_in(whole))


def test_it_leaves_piece_by_piece_and_is_written_down_before_the_first(visit, mara):
    pieces = export_services.give_everything(who=mara, patient=visit.patient)
    (entry,) = AuditEntry.objects.filter(action="gave out whole record")
    assert (entry.object_id, entry.actor_id) == (str(visit.patient_id), mara.pk)
    first = next(pieces)
    assert b"index.html" in first and b"record.json" not in first
    assert sum(1 for _ in pieces) > 3


def test_an_open_visit_gives_a_draft_and_says_so(visit, mara):
    whole, _ = taken(mara, visit.patient)
    (draft,) = [each for each in whole.namelist() if "note-draft" in each]
    assert whole.read(draft).startswith(b"%PDF")
    assert "Not signed yet" in whole.read("index.html").decode()


def test_who_may_not_export_gets_nothing(visit, poll):
    with pytest.raises(PermissionDenied, match="export records"):
        export_services.give_everything(who=poll, patient=visit.patient)
    assert not AuditEntry.objects.filter(action="gave out whole record").exists()


def test_a_record_that_was_merged_comes_along(visit, mara, practice):
    gone = recorded.patient(practice, number=77)
    gone.merged_into = visit.patient
    gone.save()
    Contact.objects.create(
        id=uuid.uuid4(),
        patient=gone,
        way="call_from",
        happened_at=timezone.now(),
        words="Under the old number.",
        written_by=mara,
    )
    whole, _ = taken(mara, visit.patient)
    kept = record_in(whole)["rows"]
    assert len(kept["patient"]) == 2 and kept["contact"][0]["words"] == "Under the old number."
    patient = exported.one_of(json.loads(whole.read("fhir-bundle.json")), "Patient")
    assert [each["value"] for each in patient["identifier"] if each.get("use") == "old"] == ["77"]
    assert patient["link"][0]["type"] == "replaces"
