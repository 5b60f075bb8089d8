"""Encounter: the visit."""

from charting.exchange.fhir import codes, organization, practitioner
from charting.exchange.fhir.parts import Resource, concept, known, moment, period, reference, resource
from charting.exchange.fhir.reading import KeptVisit


def resource_of(one: KeptVisit, conditions: list[Resource]) -> Resource:
    """When it ended is not on record, so no end is written."""
    visit, complaint = one.visit, one.content.get("story", {}).get("complaint", "")
    return resource(
        "Encounter",
        visit.pk,
        status="finished" if one.note else "in-progress",
        **{"class": codes.coding("ambulatory")},
        subject=reference("Patient", visit.patient_id),
        episodeOfCare=[reference("EpisodeOfCare", visit.episode_id)] if visit.episode_id else [],
        participant=[
            {"type": [known("performer")], "individual": practitioner.named(visit.clinician)},
        ],
        period=period(moment(visit.started_at, one.zone)),
        reasonCode=[concept(complaint)] if complaint.strip() else [],
        diagnosis=[
            {"condition": reference("Condition", condition["id"]), "rank": rank}
            for rank, condition in enumerate(conditions, 1)
        ],
        serviceProvider=organization.named(one.practice),
    )


def named(one: KeptVisit) -> dict:
    return reference("Encounter", one.id)
