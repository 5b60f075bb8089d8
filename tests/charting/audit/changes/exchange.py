"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

from charting.exchange import export_services


def give_person(who, visit):
    export_services.give_person(who=who, patient=visit.patient)


def give_visit(who, visit):
    export_services.give_visit(who=who, visit=visit)


def give_everything(who, visit):
    export_services.give_everything(who=who, patient=visit.patient)


CHANGES: dict[Callable[..., Any], ModuleType] = {
    act: export_services for act in (give_person, give_visit, give_everything)
}
