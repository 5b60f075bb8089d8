"""A note that was added to is exported version by version; nothing of the older ones is lost.

The case of the issue's reference: an amended note gives a new version with status amended, the older one can
still be had, and a Provenance points to it. Statuses: hl7.org/fhir/r4/valueset-composition-status.html
(checked).
"""

import base64

from charting.exchange.fhir.checks import problems_in
from charting.notes.models import CoSignature
from tests.charting.exchange import exported, schema


def test_an_amended_note_is_a_new_version_and_the_older_one_stays(signed_visit):
    exported.amended(signed_visit.signed_note, "The left side was meant.")
    found = exported.of_visit(signed_visit)
    new, old = exported.all_of(found, "Composition")
    assert (new["status"], old["status"]) == ("amended", "final")
    assert new["identifier"] == old["identifier"] and new["id"] != old["id"]
    assert (new["meta"]["versionId"], old["meta"]["versionId"]) == ("2", "1")
    (replaced,) = new["relatesTo"]
    assert replaced["code"] == "replaces"
    assert exported.target_of(found, replaced["targetReference"]) is old
    assert "The left side was meant." in str(new["section"])
    assert "The left side was meant." not in str(old["section"])


def test_who_wrote_each_version_is_signed_for_it(signed_visit):
    exported.amended(signed_visit.signed_note)
    found = exported.of_visit(signed_visit)
    new, old = exported.all_of(found, "Composition")
    about = {}
    for provenance in exported.all_of(found, "Provenance"):
        for target in provenance["target"]:
            about[target["reference"]] = provenance
    first, second = about[f"urn:uuid:{old['id']}"], about[f"urn:uuid:{new['id']}"]
    assert first["signature"][0]["type"][0]["code"] == "1.2.840.10065.1.12.1.1"
    assert exported.target_of(found, second["signature"][0]["who"])["name"][0]["text"] == "Mara Steiner"
    assert second["entity"][0]["role"] == "revision"
    assert exported.target_of(found, second["entity"][0]["what"]) is old
    assert "entity" not in first


def test_the_stored_papers_of_both_versions_come_byte_for_byte(signed_visit):
    note = signed_visit.signed_note
    exported.amended(note)
    papers = exported.all_of(exported.of_visit(signed_visit), "DocumentReference")
    assert [paper["status"] for paper in papers] == ["superseded", "current"]
    sent = [base64.b64decode(paper["content"][0]["attachment"]["data"]) for paper in papers]
    kept = [bytes(row.pdf) for row in note.papers.filter(paper="a4").order_by("addenda")]
    assert sent == kept


def test_a_signed_visit_is_exported_as_it_was_frozen(signed_visit):
    before = exported.of_visit(signed_visit)
    signed_visit.story.complaint = "Something else."
    signed_visit.story.save()
    signed_visit.treatments.all().delete()
    assert exported.of_visit(signed_visit) == before


def test_a_trainees_note_is_preliminary_until_it_is_co_signed(full_visit, tom):
    note = exported.signed(full_visit, needs_cosign=True)
    assert exported.one_of(exported.of_visit(full_visit), "Composition")["status"] == "preliminary"
    CoSignature.objects.create(
        note=note,
        signed_by=tom,
        signer_name="Tom Berg",
        words="Read with her on the same day.",
        signed_at=note.signed_at.replace(microsecond=0),
        content_sha256=note.content_sha256,
    )
    exported.papers(note, 0, cosigned=True)
    full_visit.refresh_from_db()
    found = exported.of_visit(full_visit)
    new, old = exported.all_of(found, "Composition")
    assert (new["status"], old["status"]) == ("final", "preliminary")
    assert "Read with her on the same day." in str(new["section"])
    assert "Read with her" not in str(old["section"])
    assert [one["party"]["display"] for one in new["attester"]] == ["Mara Steiner", "Tom Berg"]
    meanings = {
        each["signature"][0]["type"][0]["code"]
        for each in exported.all_of(found, "Provenance")
        if each["target"][0]["type"] == "Composition"
    }
    assert meanings == {"1.2.840.10065.1.12.1.1", "1.2.840.10065.1.12.1.5"}
    assert problems_in(found) == () and schema.errors_in(found) == []
