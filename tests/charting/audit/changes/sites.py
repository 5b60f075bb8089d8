"""Changes as test_every_change.py makes them: {act(who, visit): the module whose `record` it calls}."""

from collections.abc import Callable
from copy import copy
from datetime import timedelta
from types import ModuleType
from typing import Any

from django.utils import timezone

from charting.patients.models import EmergencyAccess
from charting.sites import emergency_services, services
from charting.sites.emergency_queries import Sought
from charting.staff.models import Site


def owner(who: Any) -> Any:
    """The same person, answering for the practice too."""
    other = copy(who)
    other.owns_practice = True
    return other


def a_site(visit: Any, name: str = "At the Mill") -> Site:
    return Site.objects.get_or_create(practice=visit.patient.practice, name=name)[0]


def an_opening(who: Any, visit: Any, *, began: timedelta) -> EmergencyAccess:
    at = timezone.now() - began
    until = at + timedelta(hours=1)
    said = {"patient": visit.patient, "user": who, "reason": "Fell ill in the waiting room."}
    return EmergencyAccess.objects.create(**said, began_at=at, expires_at=until)


def add_site(who: Any, visit: Any) -> None:
    services.add_site(who=owner(who), name="By the Weir")


def change_site(who: Any, visit: Any) -> None:
    row = a_site(visit)
    services.change_site(who=owner(who), site=row, version=row.version, name="At the Mill", town="Winterthal")


def close_site(who: Any, visit: Any) -> None:
    services.close_site(who=owner(who), site=a_site(visit, "Old Barn"), version=1, instead=None)


def reopen_site(who: Any, visit: Any) -> None:
    row = a_site(visit, "Boathouse")
    Site.objects.filter(pk=row.pk).update(in_use=False)
    services.reopen_site(who=owner(who), site=row)


def place_all(who: Any, visit: Any) -> None:
    services.place_all(who=owner(who), site=a_site(visit))


def place(who: Any, visit: Any) -> None:
    shown = frozenset(visit.patient.at_sites.values_list("site", flat=True))
    row = a_site(visit, "By the Lake")
    services.place(who=who, patient=visit.patient, sites=[row], shown=shown)


def open_chart(who: Any, visit: Any) -> None:
    other = copy(who)
    other.every_site = False
    sought = Sought(visit.patient.record_number, "", None)
    emergency_services.open_chart(who=other, sought=sought, reason="Fell ill in the waiting room.")


def end_opening(who: Any, visit: Any) -> None:
    access = an_opening(who, visit, began=timedelta(minutes=5))
    emergency_services.end(who=who, access=access)


def look_at_opening(who: Any, visit: Any) -> None:
    access = an_opening(who, visit, began=timedelta(hours=2))
    EmergencyAccess.objects.filter(pk=access.pk).update(ended_at=access.expires_at)
    emergency_services.look_at(who=owner(who), access=access, remark="It was one.")


CHANGES: dict[Callable[..., Any], ModuleType] = {
    **{act: services for act in (add_site, change_site, close_site, reopen_site, place_all, place)},
    **{act: emergency_services for act in (open_chart, end_opening, look_at_opening)},
}
