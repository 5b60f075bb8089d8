from tests.charting.addresses import Address

ADDRESSES: tuple[Address, ...] = (
    Address("export", "GET", of="patient"),
    Address("export-person", "POST", of="patient"),
    Address("export-everything", "POST", of="patient"),
    Address("export-visit", "POST", of="visit"),
)
