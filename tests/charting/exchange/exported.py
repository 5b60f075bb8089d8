"""Visits to export, and ways to find something in a bundle."""

import hashlib
from datetime import UTC, datetime, timedelta
from typing import Any

from charting.exchange.fhir import bundle
from charting.notes.models import Addendum, SignedNote, SignedPaper
from charting.notes.queries import recorded_in
from charting.report.content import fingerprint
from charting.visits.models import Visit

AT = datetime(2026, 11, 28, 9, 30, tzinfo=UTC)


def signed(visit: Visit, **more: object) -> SignedNote:
    """Signed by its clinician as it stands; the papers are small, their look is tested elsewhere."""
    who, at = visit.clinician, visit.started_at + timedelta(minutes=40)
    content = recorded_in(visit)
    note = SignedNote.objects.create(
        visit=visit,
        signed_by=who,
        signer_name=str(who),
        signer_title=who.title,
        signed_at=at,
        time_zone=visit.patient.practice.time_zone,
        content=content,
        content_sha256=fingerprint(content),
        **more,
    )
    Visit.objects.filter(pk=visit.pk).update(signed_at=at)
    visit.signed_at = at
    papers(note, 0)
    return note


def papers(note: SignedNote, addenda: int, *, cosigned: bool = False) -> None:
    for paper in ("a4", "letter"):
        pdf = f"%PDF-1.7 {note.visit_id} {paper} {addenda} {cosigned}".encode()
        digest = hashlib.sha256(pdf).hexdigest()
        SignedPaper.objects.create(
            note=note, addenda=addenda, cosigned=cosigned, paper=paper, pdf=pdf, sha256=digest
        )


def amended(note: SignedNote, words: str = "The left side was meant.") -> Addendum:
    """A correction with the papers that are stored beside it."""
    number = note.addenda.count() + 1
    row = Addendum.objects.create(
        note=note,
        number=number,
        kind="correction",
        wrong="right",
        author=note.signed_by,
        author_name=note.signer_name,
        text=words,
        written_at=note.signed_at + timedelta(hours=number),
    )
    papers(note, number)
    return row


def of_patient(visit: Visit) -> dict[str, Any]:
    return bundle.of_patient(visit.patient, at=AT)


def of_visit(visit: Visit) -> dict[str, Any]:
    return bundle.of_visit(visit, at=AT)


def all_of(found: dict[str, Any], type_: str) -> list[dict[str, Any]]:
    return [entry["resource"] for entry in found["entry"] if entry["resource"]["resourceType"] == type_]


def one_of(found: dict[str, Any], type_: str) -> dict[str, Any]:
    (only,) = all_of(found, type_)
    return only


def target_of(found: dict[str, Any], reference: dict[str, Any]) -> dict[str, Any]:
    """The resource that a reference means."""
    held = {entry["fullUrl"]: entry["resource"] for entry in found["entry"]}
    return held[reference["reference"]]


def codes_in(concept: dict[str, Any]) -> set[tuple[str, str]]:
    return {(each["system"], each["code"]) for each in concept.get("coding", [])}
