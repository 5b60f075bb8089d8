"""EpisodeOfCare: the care for one complaint."""

from charting.episodes.models import Episode, EpisodeEvent
from charting.exchange.fhir import organization
from charting.exchange.fhir.parts import Resource, concept, made, moment, period, reference, resource


def resource_of(episode: Episode) -> Resource:
    """Claim and authorisation numbers stand here: they belong to the episode and to no visit."""
    practice = episode.patient.practice
    zone = practice.time_zone
    ended = moment(episode.closed_at, zone) if episode.closed_at else ""
    return resource(
        "EpisodeOfCare",
        episode.pk,
        identifier=_numbers(episode),
        status="active" if episode.is_open else "finished",
        statusHistory=_history(episode, zone),
        type=[concept(episode.title)] if episode.title.strip() else [],
        patient=reference("Patient", episode.patient_id),
        managingOrganization=organization.named(practice),
        period=period(moment(episode.opened_at, zone), ended),
    )


def _numbers(episode: Episode) -> list[dict]:
    claim = getattr(episode, "claim", None)
    if claim is None:
        return []
    said = [("Claim number", claim.claim_number)]
    said += [("Authorisation number", row.number) for row in claim.authorisations.filter(withdrawn_at=None)]
    payer = {"display": claim.policy.payer.name} if claim.policy else None
    return [made(type={"text": text}, value=value, assigner=payer) for text, value in said if value.strip()]


def _history(episode: Episode, zone: str) -> list[dict]:
    """The spells before the present one: open until discharged, finished until reopened."""
    spells, since, status = [], episode.opened_at, "active"
    for event in episode.events.all():
        spells.append({"status": status, "period": period(moment(since, zone), moment(event.done_at, zone))})
        since = event.done_at
        status = "finished" if event.what == EpisodeEvent.What.DISCHARGED else "active"
    return spells
