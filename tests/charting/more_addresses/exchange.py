from tests.charting.addresses import UNKNOWN, Address

CLOSED = {"desk": UNKNOWN, "elsewhere": UNKNOWN}

ADDRESSES: tuple[Address, ...] = (
    Address("export", "GET", of="patient", **CLOSED),
    Address("export-person", "POST", of="patient", **CLOSED),
    Address("export-everything", "POST", of="patient", **CLOSED),
    Address("export-visit", "POST", of="visit", **CLOSED),
)
