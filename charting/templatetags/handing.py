"""{% device_choices visit as choices %}: what can be asked of the patient alone on the device, and what is
proposed; {% read_on_device visit text %}: what the patient read there and wants to ask.

Tags, for the pages they stand on belong to nouns that know nothing of each other.
"""

from dataclasses import dataclass
from typing import Any

from django import template

from charting.consent.queries import texts_in_use
from charting.consent.texts import ConsentText
from charting.handover.parts import CONSENT
from charting.intake.queries import readings_of
from charting.visits.models import Visit
from charting.visits.queries import is_further

register = template.Library()
# Read alone before the first visit; of treatments it is decided later.
FIRST = "examination"


@dataclass(frozen=True)
class TextChoice:
    """One text that can be read: `value` as the form sends it. `is_first`: of the examination."""

    value: str
    title: str
    is_first: bool
    is_proposed: bool


@dataclass(frozen=True)
class DeviceChoices:
    """`is_further`: the person was here before with this complaint, so that only what changes is proposed."""

    is_further: bool
    texts: tuple[TextChoice, ...]


@register.simple_tag
def device_choices(visit: Visit) -> DeviceChoices:
    """Two queries."""
    further = is_further(visit)
    texts = texts_in_use(visit.patient.practice).values()
    return DeviceChoices(
        further,
        tuple(
            TextChoice(
                f"{CONSENT}{text.id}",
                text.title,
                text.procedure == FIRST,
                text.procedure == FIRST and not further,
            )
            for text in texts
        ),
    )


@register.inclusion_tag("intake/_read.html")
def read_on_device(visit: Visit, text: ConsentText) -> dict[str, Any]:
    """One query."""
    return {"reading": readings_of(visit).get(text.id), "text": text, "visit": visit}
