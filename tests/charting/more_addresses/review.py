from tests.charting.addresses import Address

ADDRESSES: tuple[Address, ...] = (
    Address("review", "GET"),
    Address("review-file", "GET"),
    Address("review-fill", "POST"),
)
