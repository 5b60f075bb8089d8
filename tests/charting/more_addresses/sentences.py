from tests.charting.addresses import Address

ADDRESSES: tuple[Address, ...] = ()
