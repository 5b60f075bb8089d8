"""Who pays."""

import uuid
from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils import timezone

from charting.episodes.models import Episode
from charting.insurance.models import Authorisation, Claim, Payer, Policy
from charting.visits.models import Visit
from tests.charting.addresses import Address

EVERY_BOX = {f"{name}_{part}": "" for name in ("began_on", "ended_on") for part in ("day", "month", "year")}
TODAY = {"from_on_day": "4", "from_on_month": "May", "from_on_year": "2026"}


def a_payer(visit: Visit) -> Any:
    said = {"practice": visit.patient.practice, "name": "Northlake Mutual"}
    return Payer.objects.get_or_create(**said)[0].pk


def a_policy(visit: Visit) -> Any:
    return Policy.objects.get_or_create(patient=visit.patient, payer_id=a_payer(visit), number="NM-1")[0].pk


def an_episode(visit: Visit) -> Episode:
    said = {"patient": visit.patient, "opened_at": timezone.now(), "opened_by": visit.clinician}
    return Episode.objects.filter(patient=visit.patient).first() or Episode.objects.create(**said)


@dataclass(frozen=True)
class OfEpisode(Address):
    """One about an episode of the person, and perhaps an authorisation of it."""

    authorised: bool = False

    def url(self, visit: Visit) -> str:
        episode = an_episode(visit)
        if not self.authorised:
            return reverse(self.name, args=[episode.pk])
        claim = Claim.objects.get_or_create(episode=episode)[0]
        row = Authorisation.objects.get_or_create(claim=claim, number="A-7")[0]
        return reverse(self.name, args=[episode.pk, row.pk])


def of_episode(name: str, verb: str = "GET", **more: Any) -> OfEpisode:
    return OfEpisode(name, verb, **more)


def a_number(visit: Visit) -> dict[str, Any]:
    return {"whose": str(visit.clinician_id), "shown": visit.clinician.registration, "number": "PT 1"}


def new_policy(visit: Visit) -> dict[str, Any]:
    return {"id": str(uuid.uuid4()), "payer": a_payer(visit), "number": "NM-2", **EVERY_BOX}


ADDRESSES: tuple[Address, ...] = (
    of_episode("insurance"),
    of_episode("insurance", "POST", data=lambda visit: {"version": "0", "claim_number": "CL-88"}),
    of_episode("insurance-authorise", "POST", data=lambda visit: {"number": "A-8"}),
    of_episode("insurance-authorisation", authorised=True),
    of_episode(
        "insurance-authorisation",
        "POST",
        authorised=True,
        data=lambda visit: {"number": "A-9", "version": "1"},
    ),
    of_episode("insurance-work", "POST", data=lambda visit: {"status": "full", **TODAY}),
    of_episode("insurance-certify", "POST", data=lambda visit: {"certified_by": "Dr Vogt"}),
    Address("policies", "GET", of="patient"),
    Address("policies", "POST", of="patient", data=new_policy),
    Address("policy", "GET", of="patient", row=a_policy),
    Address("policy", "POST", of="patient", row=a_policy, data=new_policy),
    Address("payers", "GET"),
    Address("payers", "POST", data=lambda visit: {"name": "Alder Relief Fund", "units": "none"}),
    Address("payer", "GET", row=a_payer),
    Address(
        "payer",
        "POST",
        row=a_payer,
        data=lambda visit: {"name": "Northlake", "units": "none"},
    ),
    Address("registration-numbers", "GET"),
    Address("registration-numbers", "POST", data=a_number),
)
