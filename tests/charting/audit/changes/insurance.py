"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

import uuid
from collections.abc import Callable
from datetime import date
from types import ModuleType
from typing import Any

from charting.insurance import payer_services, services
from charting.insurance.models import Claim
from tests.charting import insured
from tests.charting.episodes import cared

DAY = date(2026, 5, 4)
PAYER = {"payer_number": "", "street": "", "town": "", "phone": "", "units": "none", "in_use": True}
POLICY = {"group_number": "", "holder": "", "holder_relation": "", "began_on": None, "ended_on": None}


def add_payer(who, visit):
    payer_services.add_payer(who=who, name=f"Fund {uuid.uuid4()}", asks=[], **PAYER)


def change_payer(who, visit):
    row = insured.a_payer(visit.patient.practice, name=f"Fund {uuid.uuid4()}")
    payer_services.change_payer(who=who, payer=row, version=1, name=row.name, asks=["clock"], **PAYER)


def register_number(who, visit):
    who.refresh_from_db()
    said = {"shown": who.registration, "number": f"{uuid.uuid4()}"}
    payer_services.register_number(who=who, whose=who, **said)


def add_policy(who, visit):
    payer = insured.a_payer(visit.patient.practice)
    said = {"id": uuid.uuid4(), "payer": payer, "number": "NM-2"}
    services.add_policy(who=who, patient=visit.patient, **said, **POLICY)


def change_policy(who, visit):
    row = insured.a_policy(visit.patient)
    services.change_policy(who=who, policy=row, version=1, payer=row.payer, number="NM-3", **POLICY)


def save_claim(who, visit):
    said = {"cause_words": "Pain since Keller slipped.", "prior_function": "No pain."}
    services.save_claim(who=who, episode=cared.an_episode(visit.patient, who), version=0, **said)


def authorise(who, visit):
    insured.an_authorisation(who, cared.an_episode(visit.patient, who))


def change_authorisation(who, visit):
    claim = Claim.objects.create(episode=cared.an_episode(visit.patient, who))
    row = claim.authorisations.create(number="A-7")
    said = {"number": "A-8", "visits": 6, "valid_from": None, "valid_until": None, "remark": "Pain."}
    services.change_authorisation(who=who, authorisation=row, version=1, is_withdrawn=False, **said)


def add_work_status(who, visit):
    said = {"status": "none", "percent": None, "limits": "Pain when lifting.", "from_on": DAY}
    services.add_work_status(who=who, episode=cared.an_episode(visit.patient, who), **said)


def certify(who, visit):
    said = {"certified_by": "Dr Vogt", "certified_on": DAY, "how": "", "valid_from": DAY, "valid_until": DAY}
    services.add_certification(who=who, episode=cared.an_episode(visit.patient, who), **said)


CHANGES: dict[Callable[..., Any], ModuleType] = {
    add_payer: payer_services,
    change_payer: payer_services,
    register_number: payer_services,
    add_policy: services,
    change_policy: services,
    save_claim: services,
    authorise: services,
    change_authorisation: services,
    add_work_status: services,
    certify: services,
}
