"""The board as the person sees it who was given the device."""

from django.urls import reverse

from charting.drawing.models import DrawnBy
from charting.drawing.sittings import Sitting
from charting.handover.models import HandOver

ADDRESSES = {
    "board": "board",
    "save": "board-save",
    "words": "board-words",
    "areas": "board-areas",
    "done": "board-done",
}


def sitting_of(held: HandOver) -> Sitting:
    own = {name: reverse(address) for name, address in ADDRESSES.items()}
    later = {"key": "hand-over-key", "rest": "hand-over-rest"}
    urls = {**own, **{name: reverse(address, args=[held.pk]) for name, address in later.items()}}
    if held.tells:
        urls["story"] = reverse("tell")
    return Sitting(
        layer=DrawnBy(held.drawn_by), by_patient=True, holder=held.pk, urls=urls, helper=held.helper
    )
