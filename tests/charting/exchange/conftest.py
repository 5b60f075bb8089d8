"""What the tests of exports begin with."""

import pytest

from charting.coding.models import DiagnosisCode
from charting.episodes.models import Episode
from charting.insurance.models import Authorisation, Claim, Payer, Policy
from tests.charting import recorded
from tests.charting.exchange import exported
from tests.charting.report import cared_for, full


@pytest.fixture
def full_visit(visit):
    """Something of everything an export has a place for."""
    full.say(visit, fever="yes")
    full.tell(visit, **full.MOVES, **full.BLOOD_THINNER)
    recorded.hands_on(visit)
    cared_for.treat(visit)
    cared_for.react(visit, visit=visit)
    return visit


@pytest.fixture
def signed_visit(full_visit):
    exported.signed(full_visit)
    return full_visit


@pytest.fixture
def insured_visit(full_visit):
    """With a code, an episode, and who pays."""
    practice, patient = full_visit.patient.practice, full_visit.patient
    episode = Episode.objects.create(
        patient=patient,
        title="right shoulder",
        opened_at=full_visit.started_at,
        opened_by=full_visit.clinician,
    )
    full_visit.episode = episode
    full_visit.save()
    payer = Payer.objects.create(practice=practice, name="Harbour Mutual", payer_number="HM 12")
    policy = Policy.objects.create(patient=patient, payer=payer, number="P-778", group_number="G-4")
    claim = Claim.objects.create(episode=episode, policy=policy, claim_number="C-31")
    Authorisation.objects.create(claim=claim, number="A-9", visits=6)
    DiagnosisCode.objects.create(
        visit=full_visit,
        code="M79.18",
        title="Myalgia, other site",
        release="April 2026",
        position=1,
        chosen_by=full_visit.clinician,
    )
    return full_visit
