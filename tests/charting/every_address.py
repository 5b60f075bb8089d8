"""Every address of the clinic: those of the visit, and those of papers and exchange, noun by noun."""

from tests.charting import addresses
from tests.charting.more_addresses import (
    coding,
    exchange,
    insurance,
    later,
    letters,
    merging,
    people_files,
    review,
    sentences,
    sign_in,
)

ADDRESSES = (
    *addresses.ADDRESSES,
    *insurance.ADDRESSES,
    *coding.ADDRESSES,
    *later.ADDRESSES,
    *letters.ADDRESSES,
    *merging.ADDRESSES,
    *exchange.ADDRESSES,
    *people_files.ADDRESSES,
    *review.ADDRESSES,
    *sentences.ADDRESSES,
    *sign_in.ADDRESSES,
)
