"""Episodes that somebody pays for, to begin tests with. Payers and numbers are invented."""

import uuid
from datetime import date

from charting.insurance import services
from charting.insurance.models import Payer, Policy

TOLD = {
    "claim_number": "CL-88",
    "cause": "work",
    "cause_words": "Slipped on a wet floor at the warehouse.",
    "injured_on": date(2026, 3, 5),
    "referred_by": "Dr Lena Vogt, family physician",
    "referrer_number": "GP 12",
    "referred_on": date(2026, 3, 9),
    "prior_function": "Full work as a packer, lifting to 20 kg.",
    "plan_from": date(2026, 1, 1),
    "plan_until": date(2027, 12, 31),
    "plan_frequency": "Twice a week for four weeks.",
}


def a_payer(practice, name="Northlake Mutual", **more):
    return Payer.objects.create(practice=practice, name=name, **more)


def a_policy(patient, payer=None, number="NM-1042"):
    payer = payer or a_payer(patient.practice)
    return Policy.objects.create(patient=patient, payer=payer, number=number)


def a_claim(who, episode, *, policy=None, version=0, **more):
    """All that is asked is recorded."""
    policy = policy or a_policy(episode.patient)
    return services.save_claim(who=who, episode=episode, version=version, policy=policy, **{**TOLD, **more})


def an_authorisation(who, episode, *, number="A-7", visits=6, begins=None, ends=None):
    said = {"number": number, "visits": visits, "valid_from": begins, "valid_until": ends, "remark": ""}
    return services.add_authorisation(who=who, episode=episode, id=uuid.uuid4(), **said)
