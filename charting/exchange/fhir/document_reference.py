"""DocumentReference: the stored PDFs, byte for byte."""

import uuid
from collections.abc import Iterable

from charting.exchange.fhir import encounter, ids, organization, practitioner
from charting.exchange.fhir.parts import (
    Resource,
    attachment,
    coding,
    concept,
    known,
    moment,
    reference,
    resource,
)
from charting.exchange.fhir.reading import KeptVisit
from charting.exchange.fhir.versions import Version, versions_of
from charting.letters.models import Letter, LetterPaper
from charting.notes.models import SignedPaper
from charting.patients.models import Patient

PDF = "application/pdf"


def resources_of(one: KeptVisit) -> list[Resource]:
    """The papers of a note, one for each version; only the last is current."""
    printed = [(version, version.paper) for version in versions_of(one) if version.paper]
    return [
        resource(
            "DocumentReference",
            version.paper_id,
            status="current" if version is printed[-1][0] else "superseded",
            docStatus=version.status,
            type=known("progress_note"),
            subject=reference("Patient", one.visit.patient_id),
            date=moment(version.at, one.zone),
            author=[practitioner.named(version.by, version.by_name)],
            custodian=organization.named(one.practice),
            relatesTo=[
                {"code": "replaces", "target": reference("DocumentReference", printed[place - 1][0].paper_id)}
            ]
            if place
            else [],
            content=[{"attachment": _printed(one, version, paper)}],
            context={"encounter": [encounter.named(one)]},
        )
        for place, (version, paper) in enumerate(printed)
    ]


def _printed(one: KeptVisit, version: Version, paper: SignedPaper) -> dict:
    return _pdf(paper, "Visit note", moment(version.at, one.zone))


def id_of_letter(letter: Letter) -> uuid.UUID:
    return ids.beneath(letter.pk, "paper")


def letters_of(people: Iterable[Patient]) -> tuple[Letter, ...]:
    """Those that were signed, with their signature, the oldest first."""
    rows = Letter.objects.filter(patient__in=[one.pk for one in people], signed__isnull=False)
    return tuple(rows.select_related("signed__signed_by", "patient__practice").order_by("signed_at"))


def of_letter(letter: Letter, patient: Patient) -> Resource:
    """A signed report, letter or summary."""
    signed, title = letter.signed, letter.get_kind_display()
    at = moment(signed.signed_at, signed.time_zone)
    paper = signed.papers.get(paper=patient.practice.paper)
    return resource(
        "DocumentReference",
        id_of_letter(letter),
        status="current",
        docStatus="final",
        type=concept(title, coding("paper", letter.kind, title)),
        subject=reference("Patient", patient.pk),
        date=at,
        author=[practitioner.named(signed.signed_by, signed.signer_name)],
        custodian=organization.named(patient.practice),
        content=[{"attachment": _pdf(paper, title, at)}],
    )


def _pdf(paper: SignedPaper | LetterPaper, title: str, at: str) -> dict:
    return attachment(PDF, bytes(paper.pdf), title=f"{title}, {paper.get_paper_display()}", created=at)
