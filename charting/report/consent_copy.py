"""The patient's copy of one consent: what is printed on it."""

import hashlib
from dataclasses import dataclass

from charting.consent import signature, texts
from charting.consent.coverage import Standing
from charting.patients.models import Patient
from charting.report.papers import day, moment
from charting.staff.models import Practice


@dataclass(frozen=True)
class CopyPart:
    heading: str
    words: str


@dataclass(frozen=True)
class ConsentCopy:
    """Everything on the paper, in words. `facts`: (what, said) in order; `withdrawn`: "" while it stands."""

    practice: Practice
    patient: str
    born: str
    record: int
    title: str
    version: int
    parts: tuple[CopyPart, ...]
    facts: tuple[tuple[str, str], ...]
    confirmed: tuple[str, ...]
    withdrawn: str
    signer: str
    how: str
    when: str
    day: str
    path: str
    created: str


def copy_of(patient: Patient, each: Standing) -> ConsentCopy:
    row, zone = each.consent, patient.practice.time_zone
    relation = f", {row.guardian_relation}" if row.guardian_relation else ""
    return ConsentCopy(
        practice=patient.practice,
        patient=patient.name,
        born=day(patient.birth_date),
        record=patient.record_number,
        title=row.title,
        version=row.text_version,
        parts=tuple(_part(paragraph) for paragraph in row.body.split("\n\n")),
        facts=_facts(each),
        confirmed=tuple(_confirmed(each, zone)),
        withdrawn=_withdrawn(each, zone),
        signer=f"{row.signer_name} ({row.get_signer_display()}{relation})",
        how=row.how_signed,
        when=moment(row.signed_at, zone),
        day=day(row.signed_at.astimezone(patient.practice.zone).date()),
        path=signature.path(row.signature),
        created=row.signed_at.isoformat(),
    )


def _part(paragraph: str) -> CopyPart:
    """A stored paragraph begins with its heading and a full stop."""
    heading, dot, words = paragraph.partition(". ")
    return CopyPart(heading, words) if dot and "\n" not in heading else CopyPart("", paragraph)


def _facts(each: Standing) -> tuple[tuple[str, str], ...]:
    row = each.consent
    chaperone = ", ".join(said for said in (row.get_chaperone_display(), row.chaperone_name) if said)
    by = f"{row.explained_by}, {row.explained_by.title}" if row.explained_by.title else str(row.explained_by)
    said = (
        ("Agreed to", ", ".join(texts.procedures()[one].words for one in each.procedures)),
        ("Areas", each.areas_words),
        ("Explained by", by),
        ("Interpreter", row.interpreter),
        ("Chaperone", chaperone),
        ("Questions and answers", row.questions),
        ("Time of the device", row.device_words),
        # As the note prints it, so that the two can be held beside each other.
        ("SHA-256 of the text", hashlib.sha256(row.body.encode()).hexdigest()),
    )
    return tuple((what, words) for what, words in said if words)


def _confirmed(each: Standing, zone: str) -> list[str]:
    return [f"{moment(one.confirmed_at, zone)}, asked by {one.confirmed_by}" for one in each.confirmations]


def _withdrawn(each: Standing, zone: str) -> str:
    gone = each.withdrawn
    if gone is None:
        return ""
    words = f" In these words: “{gone.words}”" if gone.words else ""
    return f"Withdrawn on {moment(gone.withdrawn_at, zone)} by {gone.said_by}.{words}"
