"""The log."""

from tests.charting.addresses import Address

ADDRESSES: tuple[Address, ...] = (Address("log", "GET"),)
