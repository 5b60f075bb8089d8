"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

from collections.abc import Callable
from datetime import timedelta
from types import ModuleType
from typing import Any

from charting.coding import services
from charting.coding.models import DiagnosisCode
from charting.visits.models import Visit


def choose_code(who, visit):
    services.choose(who=who, visit=visit, code="G47.00")


def take_out_code(who, visit):
    services.take_out(who=who, visit=visit, code=_chosen(who, visit))


def move_code(who, visit):
    services.move(who=who, visit=visit, code=_chosen(who, visit), to="first")


def carry_codes(who, visit):
    before = Visit.objects.create(patient=visit.patient, clinician=who, episode=visit.episode)
    Visit.objects.filter(pk=before.pk).update(started_at=visit.started_at - timedelta(days=7))
    _chosen(who, before)
    services.carry_over(who=who, visit=visit)


def _chosen(who, visit):
    said = {"title": "Cervicalgia", "release": "April 2026", "position": 0, "chosen_by": who}
    return DiagnosisCode.objects.create(visit=visit, code="M54.2", **said).code


CHANGES: dict[Callable[..., Any], ModuleType] = {
    choose_code: services,
    take_out_code: services,
    move_code: services,
    carry_codes: services,
}
