"""The six kinds of entries: how an address, a list and the atlas itself call them."""

from collections.abc import Mapping
from dataclasses import dataclass

from bodymaps import words
from bodymaps.atlas import SIDES, Atlas, Dermatome, Muscle
from bodymaps.patterns import Structure

Entry = Muscle | Dermatome | Structure


@dataclass(frozen=True)
class Kind:
    """`slug` stands in addresses, `layer` in the atlas; `one` and `many` are the words for it."""

    slug: str
    layer: str
    one: str
    many: str


KINDS = (
    Kind("muscle", "pattern", "muscle", "Muscles"),
    Kind("root", "dermatome", "nerve root", "Nerve roots"),
    Kind("nerve", "peripheral_nerve", "nerve", "Nerves"),
    Kind("plexus", "plexus", "plexus", "Plexuses"),
    Kind("joint", "joint_referral", "joint", "Joints"),
    Kind("organ", "visceral", "organ", "Organs"),
)
BY_SLUG = {kind.slug: kind for kind in KINDS}
BY_LAYER = {kind.layer: kind for kind in KINDS}


def entries(known: Atlas, kind: Kind) -> Mapping[str, Entry]:
    """Every entry of a kind, by id, in the order of the atlas."""
    if kind.slug == "muscle":
        return known.muscles
    if kind.slug == "root":
        return known.dermatomes
    return known.structures.get(kind.layer, {})


def sides_of(entry: Entry) -> tuple[str, ...]:
    """The sides it can be shown on: both of a pair, the one of what there is once."""
    return entry.held_sides if isinstance(entry, Structure) else SIDES


def name_of(entry: Entry) -> str:
    """ "Infraspinatus", "Median nerve", "C6", "S4-S5": as it stands at the beginning of a line."""
    if isinstance(entry, Dermatome):
        return words.root(entry.id)
    return words.sentence_case(entry.name)
