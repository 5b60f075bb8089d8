"""Who works here, what they may, and the page of the practice."""

from typing import Any

from charting.staff.models import User
from charting.staff.people import said_of
from charting.staff.people_forms import MemberForm
from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.addresses import Address


def a_colleague(visit: Visit) -> User:
    known = User.objects.filter(username="lene").first()
    return known or recorded.member(visit.patient.practice, "lene", last_name="Holm")


def the_id(visit: Visit) -> Any:
    return a_colleague(visit).pk


def said(visit: Visit) -> dict[str, Any]:
    values = MemberForm.values_of(said_of(a_colleague(visit)))
    return {name: value for name, value in values.items() if value not in (False, None)}


def somebody_new(visit: Visit) -> dict[str, Any]:
    return {"username": "jon", "last_name": "Falk", "role": "desk", "where": "every"}


ADDRESSES: tuple[Address, ...] = (
    Address("practice", "GET"),
    Address("staff", "GET"),
    Address("staff-new", "GET"),
    Address("staff-new", "POST", data=somebody_new),
    Address("staff-member", "GET", row=the_id),
    Address("staff-member", "POST", row=the_id, data=said),
    Address("staff-disable", "POST", row=the_id),
    Address("staff-enable", "POST", row=the_id),
    Address("staff-password", "POST", row=the_id),
    Address("staff-second-factor", "POST", row=the_id),
    Address("staff-sessions", "POST", row=the_id),
)
