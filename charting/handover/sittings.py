"""The board as the person sees it who was given the device."""

from django.urls import reverse

from charting.drawing.models import DrawnBy
from charting.drawing.sittings import Sitting
from charting.handover.models import HandOver
from charting.handover.parts import after, has_more, parts_of, place_of

DRAWING = ("drawing", "areas")
ADDRESSES = {
    "board": "board",
    "save": "board-save",
    "words": "board-words",
    "areas": "board-areas",
}


def sitting_of(held: HandOver) -> Sitting:
    own = {name: reverse(address) for name, address in ADDRESSES.items()}
    later = {"key": "hand-over-key", "rest": "hand-over-rest"}
    urls = {**own, **{name: reverse(address, args=[held.pk]) for name, address in later.items()}}
    urls["done"] = after(held, "areas")
    if held.tells:
        urls["story"] = reverse("tell")
    is_one_of_many = len(parts_of(held)) > len(DRAWING)
    return Sitting(
        layer=DrawnBy(held.drawn_by),
        by_patient=True,
        holder=held.pk,
        urls=urls,
        helper=held.helper,
        place=place_of(held, "drawing").words if is_one_of_many else "",
        place_after=place_of(held, "areas").words if is_one_of_many else "",
        leads_to="Next" if has_more(held, "areas") else "Finish",
    )
