from typing import Any

from charting.visits.models import Visit
from tests.charting.addresses import REFUSED, UNKNOWN, Address
from tests.charting.audit.changes.merging import a_merge, a_second_record

READS: dict[str, Any] = {"verb": "GET", "desk": UNKNOWN, "elsewhere": UNKNOWN}
SENDS: dict[str, Any] = {"verb": "POST", "desk": UNKNOWN, "elsewhere": UNKNOWN}


def another(visit: Visit) -> Any:
    return a_second_record(visit).pk


def merged(visit: Visit) -> Any:
    return a_merge(visit).pk


ADDRESSES: tuple[Address, ...] = (
    Address("registered-twice", "GET", desk=REFUSED),
    Address("merge-find", of="patient", **READS),
    Address("merge-records", of="patient", row=another, **READS),
    Address("merge-records", of="patient", row=another, **SENDS),
    Address("merged", row=merged, **{**READS, "desk": REFUSED}),
    Address("merged", row=merged, **{**SENDS, "desk": REFUSED}),
)
