from typing import Any

from charting.visits.models import Visit
from tests.charting.addresses import Address
from tests.charting.audit.changes.people_files import a_file


def a_waiting_file(visit: Visit) -> Any:
    return a_file(visit.clinician).pk


ADDRESSES: tuple[Address, ...] = (
    Address("imports", "GET"),
    Address("import-file", "GET", more=("csv",)),
    Address("import-file", "POST", more=("csv",)),
    Address("import-shown", "GET", row=a_waiting_file),
    Address("import-shown", "POST", row=a_waiting_file),
    Address("import-leave", "POST", row=a_waiting_file),
)
