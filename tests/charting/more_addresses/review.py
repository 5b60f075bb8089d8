from tests.charting.addresses import REFUSED, Address

# Everybody sees the review of the own practice alone.
ADDRESSES: tuple[Address, ...] = (
    Address("review", "GET", assistant=REFUSED),
    Address("review-file", "GET", assistant=REFUSED),
    Address("review-fill", "POST", assistant=REFUSED),
)
