"""The second step of signing in, and one's own account. Everybody sees and changes their own alone."""

from typing import Any

from charting.visits.models import Visit
from tests.charting import recorded
from tests.charting.addresses import Address

NEXT = "seven-lanterns-at-low-tide"


def passwords(visit: Visit) -> dict[str, Any]:
    return {"password": recorded.PASSWORD, "new": NEXT, "again": NEXT}


ADDRESSES: tuple[Address, ...] = (
    # Nobody here owes a code: it leads to the page to sign in.
    Address("sign-in-code", "GET"),
    Address("sign-in-code", "POST", data=lambda visit: {"code": "000000"}),
    Address("account", "GET"),
    Address("account-password", "GET"),
    Address("account-password", "POST", data=passwords),
    Address("second-factor", "GET"),
    Address("second-factor", "POST", data=lambda visit: {"first_code": "000000"}),
    Address("backup-codes", "GET"),
    # Wrong: the form to be mended. Without an authenticator the right one would be refused.
    Address("backup-codes", "POST", data=lambda visit: {"password": ""}),
    Address("sessions-end", "POST"),
    Address("session-left", "GET"),
    Address("session-stay", "POST"),
)
