"""Consent: what the person agreed to, in the words that were read; RelatedPerson where a guardian signed."""

import uuid

from charting.consent.models import Consent
from charting.exchange.fhir import ids, organization
from charting.exchange.fhir.parts import (
    Resource,
    attachment,
    coding,
    concept,
    known,
    made,
    moment,
    reference,
    resource,
)
from charting.exchange.fhir.reading import KeptVisit


def id_of(row: Consent) -> uuid.UUID:
    return ids.beneath(row.visit_id, f"consent:{row.pk}")


def resources_of(one: KeptVisit) -> list[Resource]:
    found = []
    for row in one.consents:
        if row.signer == Consent.Signer.GUARDIAN:
            found.append(_guardian(one, row))
        found.append(_consent(one, row))
    return found


def signer_of(one: KeptVisit, row: Consent) -> dict:
    if row.signer == Consent.Signer.GUARDIAN:
        return reference("RelatedPerson", _id_of_guardian(row), row.signer_name)
    return reference("Patient", one.visit.patient_id, row.signer_name)


def withdrawn(row: Consent):
    return getattr(row, "withdrawn", None)


def _id_of_guardian(row: Consent) -> uuid.UUID:
    return ids.beneath(row.visit_id, f"guardian:{row.pk}")


def _guardian(one: KeptVisit, row: Consent) -> Resource:
    return resource(
        "RelatedPerson",
        _id_of_guardian(row),
        patient=reference("Patient", one.visit.patient_id),
        relationship=[concept(row.guardian_relation or row.get_signer_display())],
        name=[made(text=row.signer_name)],
    )


def _consent(one: KeptVisit, row: Consent) -> Resource:
    """Taken back: inactive, with the text still there."""
    text = attachment("text/plain; charset=utf-8", row.body.encode(), title=row.title)
    rule = f"{row.title} (version {row.text_version})"
    return resource(
        "Consent",
        id_of(row),
        status="inactive" if withdrawn(row) else "active",
        scope=known("treatment"),
        category=[known("consent_document")],
        patient=reference("Patient", one.visit.patient_id),
        dateTime=moment(row.signed_at, one.zone),
        performer=[signer_of(one, row)],
        organization=[organization.named(one.practice)],
        sourceAttachment=text,
        policyRule=concept(rule, coding("consent_text", f"{row.text_id}:{row.text_version}", rule)),
        verification=_confirmed(one, row),
        provision=_provision(one, row),
    )


def _confirmed(one: KeptVisit, row: Consent) -> list[dict]:
    """Each time it was confirmed by word of mouth in a later visit."""
    return [
        {
            "verified": True,
            "verifiedWith": reference("Patient", one.visit.patient_id),
            "verificationDate": moment(each.confirmed_at, one.zone),
        }
        for each in row.confirmations.all()
    ]


def _provision(one: KeptVisit, row: Consent) -> dict:
    gone = withdrawn(row)
    said = [*row.procedure.split(), *row.areas]
    return made(
        type="permit",
        period=made(
            start=moment(row.signed_at, one.zone), end=moment(gone.withdrawn_at, one.zone) if gone else ""
        ),
        code=[concept(each, coding("consent_text", each)) for each in said],
    )
