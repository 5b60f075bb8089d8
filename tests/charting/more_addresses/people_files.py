from typing import Any

from charting.visits.models import Visit
from tests.charting.addresses import REFUSED, UNKNOWN, Address
from tests.charting.audit.changes.people_files import a_file

NOT_THE_DESK: dict[str, Any] = {"desk": REFUSED}
ONE_FILE: dict[str, Any] = {"desk": REFUSED, "elsewhere": UNKNOWN}


def a_waiting_file(visit: Visit) -> Any:
    return a_file(visit.clinician).pk


ADDRESSES: tuple[Address, ...] = (
    Address("imports", "GET", **NOT_THE_DESK),
    Address("import-file", "GET", more=("csv",), **NOT_THE_DESK),
    Address("import-file", "POST", more=("csv",), **NOT_THE_DESK),
    Address("import-shown", "GET", row=a_waiting_file, **ONE_FILE),
    Address("import-shown", "POST", row=a_waiting_file, **ONE_FILE),
    Address("import-leave", "POST", row=a_waiting_file, **ONE_FILE),
)
