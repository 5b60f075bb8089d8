from typing import Any

from charting.visits.models import Visit
from tests.charting.addresses import Address
from tests.charting.audit.changes.merging import a_merge, a_second_record


def another(visit: Visit) -> Any:
    return a_second_record(visit).pk


def merged(visit: Visit) -> Any:
    return a_merge(visit).pk


ADDRESSES: tuple[Address, ...] = (
    Address("registered-twice", "GET"),
    Address("merge-find", "GET", of="patient"),
    Address("merge-records", "GET", of="patient", row=another),
    Address("merge-records", "POST", of="patient", row=another),
    Address("merged", "GET", row=merged),
    Address("merged", "POST", row=merged),
)
