from tests.charting.addresses import REFUSED, Address

# Everybody sees the review of the own practice alone.
ADDRESSES: tuple[Address, ...] = (
    Address("review", "GET", desk=REFUSED),
    Address("review-file", "GET", desk=REFUSED),
    Address("review-fill", "POST", desk=REFUSED),
)
