"""A sheet about one muscle for a patient: what is printed on it, in plain words and without names of needles
or nerves.
"""

from dataclasses import dataclass

from bodymaps.atlas import ALL_SITES, Atlas, Muscle
from bodymaps.words import sentence_case
from charting.atlas import shown
from charting.atlas.kinds import name_of
from charting.atlas.pages import boxes_of
from charting.atlas.shown import LayerPicture
from charting.drawing.picture import ViewPicture
from charting.staff.models import Practice

# Which hand is where, to the person who looks at the picture.
CAPTIONS = {
    "front": "Seen from the front: your right side is on the left here.",
    "back": "Seen from behind: your right side is on the right here.",
}


@dataclass(frozen=True)
class MuscleSheet:
    """Everything on the sheet. `figures`: each view that has something, with its pattern and a caption."""

    practice: Practice | None
    name: str
    side: str
    figures: tuple[tuple[ViewPicture, LayerPicture, str], ...]
    has_spillover: bool
    brings_on: tuple[str, ...]
    eases: tuple[str, ...]
    atlas_version: str


def muscle_sheet(practice: Practice | None, known: Atlas, muscle: Muscle, side: str) -> MuscleSheet:
    """`side`: "right" or "left"."""
    layers = shown.layers(muscle, side, ALL_SITES, known, boxes_of(known, muscle, side))
    return MuscleSheet(
        practice=practice,
        # What stands in brackets is for who knows the anatomy.
        name=name_of(muscle).split(" (")[0],
        side=side,
        figures=tuple((shown.bodies()[layer.view], layer, CAPTIONS[layer.view]) for layer in layers),
        has_spillover=any(zone.zone == "spillover" for layer in layers for zone in layer.zones),
        brings_on=tuple(sentence_case(each) for each in muscle.brings_on),
        eases=tuple(sentence_case(each) for each in muscle.eases),
        atlas_version=known.version,
    )
