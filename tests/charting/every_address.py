"""Every address of the clinic: those of the visit, and those of papers and exchange, noun by noun."""

from tests.charting import addresses
from tests.charting.more_addresses import (
    coding,
    exchange,
    insurance,
    later,
    letters,
    merging,
    oversight,
    people_files,
    review,
    sentences,
    sign_in,
    sites,
    staff,
)

ADDRESSES = (
    *addresses.ADDRESSES,
    *insurance.ADDRESSES,
    *coding.ADDRESSES,
    *later.ADDRESSES,
    *letters.ADDRESSES,
    *merging.ADDRESSES,
    *oversight.ADDRESSES,
    *exchange.ADDRESSES,
    *people_files.ADDRESSES,
    *review.ADDRESSES,
    *sentences.ADDRESSES,
    *staff.ADDRESSES,
    *sign_in.ADDRESSES,
    *sites.ADDRESSES,
)
