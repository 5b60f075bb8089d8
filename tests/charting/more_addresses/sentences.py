"""The practice's text blocks."""

from typing import Any

from charting.notes.models import TextBlock
from charting.visits.models import Visit
from tests.charting.addresses import Address

WORDS = {"section": "plan", "title": "Looks again", "words": "Looks again in ten days."}


def a_block(visit: Visit) -> Any:
    practice = visit.patient.practice
    said = {"practice": practice, "changed_by": visit.clinician, **WORDS}
    return TextBlock.objects.get_or_create(practice=practice, title=WORDS["title"], defaults=said)[0].pk


def as_sent(visit: Visit) -> dict[str, Any]:
    return {**WORDS, "in_use": "on", "version": "1"}


ADDRESSES: tuple[Address, ...] = (
    Address("text-blocks", "GET"),
    Address("text-block-new", "GET"),
    Address("text-block-new", "POST", data=as_sent),
    Address("text-block", "GET", row=a_block),
    Address("text-block", "POST", row=a_block, data=as_sent),
)
