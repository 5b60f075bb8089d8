"""Giving a record out on the page, and by the command."""

import io
import json
import zipfile

import pytest
from django.core.management import CommandError, call_command

from charting.audit.models import AuditEntry
from charting.exchange.fhir.checks import problems_in
from tests.charting.exchange import schema


def test_the_page_offers_every_visit(visit, as_mara):
    page = as_mara.get(f"/patients/{visit.patient_id}/export/").content.decode()
    assert f"/visits/{visit.pk}/export/" in page and "not signed yet" in page


def test_a_person_is_downloaded_without_a_name_in_the_file_name(visit, as_mara, mara):
    response = as_mara.post(f"/patients/{visit.patient_id}/export/fhir/")
    assert response.headers["Content-Type"] == "application/fhir+json"
    assert "record-1042-" in response.headers["Content-Disposition"]
    assert "Keller" not in response.headers["Content-Disposition"]
    found = json.loads(response.content)
    assert found["type"] == "collection" and problems_in(found) == () and schema.errors_in(found) == []
    entry = AuditEntry.objects.get(action="exported record")
    assert (entry.actor_id, entry.detail) == (mara.pk, {"resources": len(found["entry"])})


def test_a_visit_is_downloaded_as_a_document(visit, as_vera):
    found = json.loads(as_vera.post(f"/visits/{visit.pk}/export/").content)
    assert found["type"] == "document" and problems_in(found) == ()
    assert AuditEntry.objects.filter(action="exported visit", object_id=str(visit.pk)).exists()


def test_the_whole_record_is_downloaded_as_a_stream(visit, as_mara):
    response = as_mara.post(f"/patients/{visit.patient_id}/export/everything/")
    assert response.streaming
    whole = zipfile.ZipFile(io.BytesIO(b"".join(response.streaming_content)))
    assert "index.html" in whole.namelist()


def test_the_command_writes_a_person_and_a_visit(visit, tmp_path):
    file = tmp_path / "anna.json"
    call_command("export_bundle", patient="1042", output=str(file), stdout=io.StringIO())
    assert json.loads(file.read_text())["type"] == "collection"
    out = io.StringIO()
    call_command("export_bundle", visit=str(visit.pk), output="-", stdout=out)
    assert json.loads(out.getvalue())["type"] == "document"
    entry = AuditEntry.objects.filter(action="exported visit").get()
    assert (entry.actor, entry.actor_id) == ("command line", None)


@pytest.mark.parametrize("said", ["7", "nobody", "0c6b83e1-ce47-4c33-bdc0-710e2bbb3dee"])
def test_the_command_says_whom_it_did_not_find(practice, tmp_path, said):
    file = tmp_path / "x.json"
    with pytest.raises(CommandError, match=said) as refused:
        call_command("export_bundle", patient=said, output=str(file))
    assert refused.value.returncode == 2 and not file.exists()
