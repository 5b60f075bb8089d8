"""Provenance: who signed what, when, and what the signature means."""

import uuid

from charting.consent import signature as drawn
from charting.consent.models import Consent
from charting.exchange.fhir import codes, consent, document_reference, ids, practitioner
from charting.exchange.fhir.parts import Resource, attachment, known, moment, reference, resource
from charting.exchange.fhir.reading import KeptVisit
from charting.exchange.fhir.versions import Version, versions_of
from charting.letters.models import Letter

SVG = "image/svg+xml"


def resources_of(one: KeptVisit) -> list[Resource]:
    """One for each version of a signed note, one for each consent."""
    every = versions_of(one) if one.note else ()
    notes = [
        _of_version(one, version, every[place - 1] if place else None) for place, version in enumerate(every)
    ]
    return [*notes, *(_of_consent(one, row) for row in one.consents)]


def _of_version(one: KeptVisit, version: Version, before: Version | None) -> Resource:
    """Its targets are that version and its paper; the version before it is what was revised."""
    targets = [reference("Composition", version.id)]
    targets += [reference("DocumentReference", version.paper_id)] if version.paper else []
    is_second = version.meaning == "co-signer"
    who = practitioner.named(version.by, version.by_name)
    at = moment(version.at, one.zone)
    revised = [{"role": "revision", "what": reference("Composition", before.id)}] if before else []
    return resource(
        "Provenance",
        ids.beneath(version.id, "provenance"),
        target=targets,
        recorded=at,
        activity=known("revised" if before else "created"),
        agent=[{"type": known("verifier" if is_second else "author"), "who": who}],
        entity=revised,
        signature=[_signature("signed_in_addition" if is_second else "signed_by_author", at, who)],
    )


def _of_consent(one: KeptVisit, row: Consent) -> Resource:
    """With the signature as it was drawn on the screen; without data where the name was typed."""
    who, at = consent.signer_of(one, row), moment(row.signed_at, one.zone)
    picture = attachment(SVG, _svg(row)) if row.is_drawn else {}
    data = {"sigFormat": SVG, "data": picture["data"]} if picture else {}
    return resource(
        "Provenance",
        ids.beneath(consent.id_of(row), "provenance"),
        target=[reference("Consent", consent.id_of(row))],
        recorded=at,
        activity=known("created"),
        agent=[
            {"type": known("author"), "who": who},
            {"type": known("verifier"), "who": practitioner.named(row.explained_by)},
        ],
        signature=[{**_signature("signed_to_consent", at, who), **data}],
    )


def of_letter(letter: Letter) -> Resource:
    signed = letter.signed
    at = moment(signed.signed_at, signed.time_zone)
    who = practitioner.named(signed.signed_by, signed.signer_name)
    return resource(
        "Provenance",
        id_of_letter(letter),
        target=[reference("DocumentReference", document_reference.id_of_letter(letter))],
        recorded=at,
        activity=known("created"),
        agent=[{"type": known("author"), "who": who}],
        signature=[_signature("signed_by_author", at, who)],
    )


def id_of_letter(letter: Letter) -> uuid.UUID:
    return ids.beneath(letter.pk, "provenance")


def _signature(type_: str, at: str, who: dict) -> dict:
    return {"type": [codes.coding(type_)], "when": at, "who": who}


def _svg(row: Consent) -> bytes:
    box = f"0 0 {drawn.WIDTH} {drawn.HEIGHT}"
    line = f'<path d="{drawn.path(row.signature)}" fill="none" stroke="#111" stroke-width="3"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}">{line}</svg>'.encode()
