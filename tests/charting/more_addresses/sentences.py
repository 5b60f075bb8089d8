"""The practice's text blocks: for who writes notes, and for who manages the practice."""

from typing import Any

from charting.notes.models import TextBlock
from charting.visits.models import Visit
from tests.charting.addresses import LET_IN, REFUSED, UNKNOWN, Address

WORDS = {"section": "plan", "title": "Looks again", "words": "Looks again in ten days."}


def a_block(visit: Visit) -> Any:
    practice = visit.patient.practice
    said = {"practice": practice, "changed_by": visit.clinician, **WORDS}
    return TextBlock.objects.get_or_create(practice=practice, title=WORDS["title"], defaults=said)[0].pk


def as_sent(visit: Visit) -> dict[str, Any]:
    return {**WORDS, "in_use": "on", "version": "1"}


ADDRESSES: tuple[Address, ...] = (
    # Each sees the blocks of the own practice alone.
    Address("text-blocks", "GET", LET_IN, REFUSED, LET_IN, LET_IN),
    Address("text-block-new", "GET", LET_IN, REFUSED, LET_IN, LET_IN),
    Address("text-block-new", "POST", LET_IN, REFUSED, LET_IN, LET_IN, data=as_sent),
    Address("text-block", "GET", LET_IN, REFUSED, LET_IN, UNKNOWN, row=a_block),
    Address("text-block", "POST", LET_IN, REFUSED, LET_IN, UNKNOWN, row=a_block, data=as_sent),
)
