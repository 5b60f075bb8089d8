"""Where findings stand on the figure: each at its site, with its number, clear of the others."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

from bodymaps import atlas, own
from bodymaps.atlas import VIEWS, Atlas, Place, Site
from bodymaps.reasoning import felt
from bodymaps.reasoning.felt import Felt
from bodymaps.words import sentence_case

# The disc under a number, in figure millimetres: legible on the smallest figure and on paper.
RADIUS = 26.0
# A number without a disc takes less room.
BARE = 18.0
ROOM, STEP, FARTHEST, DIRECTIONS = 4.0, 16.0, 14, 16
# Without a disc: there is nothing to find again.
PLAIN = (felt.NOT_MET, felt.NOTHING)
MARKED = {
    felt.ACTIVE: "filled disc: active trigger point",
    felt.LATENT: "ring: latent trigger point",
    felt.TENDER_SPOT: "square: tender spot only",
    felt.INCOMPLETE: "dashed ring: incomplete",
    felt.NOT_MET: "number alone: no trigger point",
    felt.NOTHING: "dotted: not examined",
}


@dataclass(frozen=True)
class Placed:
    """One finding in one view, figure mm (mirrored for the left side) as text for attributes.

    `number`: its place in what was given, from 1. `result`: one of felt.RESULTS. `line` leads from the number
    to the site where it had to step aside, "" otherwise. `words` say all of it.
    """

    view: str
    x: str
    y: str
    number: int
    result: str
    words: str
    radius: str
    baseline: str
    line: str
    corner: str
    corner_y: str
    width: str


def placed(found: Iterable[Felt], known: Atlas) -> tuple[Placed, ...]:
    """Every finding of a list in its view; one of a muscle or site that the atlas does not hold is left out.

    The first keep their place, the later step aside.
    """
    taken: dict[str, list[tuple[float, float, float]]] = {view: [] for view in VIEWS}
    marks = []
    for number, each in enumerate(found, 1):
        at = site_place(each, known)
        if at is not None:
            marks.append(_mark(number, each, at, taken[at.view], known))
    return tuple(marks)


def on_view(marks: Iterable[Placed], view: str) -> tuple[Placed, ...]:
    return tuple(mark for mark in marks if mark.view == view)


def key_to(marks: Iterable[Placed]) -> tuple[tuple[str, str], ...]:
    """What the signs mean that occur: (result, words), in the order of RESULTS."""
    there = {mark.result for mark in marks}
    return tuple((result, MARKED[result]) for result in felt.RESULTS if result in there)


def site_of(each: Felt, known: Atlas) -> Site | None:
    """Its site in the atlas; the first of the muscle for the muscle as a whole."""
    return next((site for site in _sites(each, known) if each.site in ("", site.id)), None)


def site_place(each: Felt, known: Atlas) -> Place | None:
    """Where its site lies on its own side, mm.

    A practice's own pattern says where a muscle refers to; where it has no place, the release has.
    """
    anywhere = ("", own.SITE)
    found = (site.at for site in _sites(each, known) if each.site in (*anywhere, site.id))
    at = next((place for place in found if place.view in VIEWS), None)
    if at is None:
        return None
    x = at.x if each.side == "right" else 2 * known.midlines[at.view] - at.x
    return Place(at.view, x, at.y)


def _sites(each: Felt, known: Atlas) -> Iterator[Site]:
    """Those of the practice, then those of the release."""
    for held in (known, atlas.load()):
        if each.muscle in held.muscles:
            yield from held.muscles[each.muscle].sites


def name_of(each: Felt, known: Atlas) -> str:
    """ "Infraspinatus", or its id in plain letters where the atlas does not hold it any more."""
    one = known.muscles.get(each.muscle)
    return sentence_case(one.name if one else each.muscle.replace("_", " "))


def _mark(
    number: int, each: Felt, at: Place, taken: list[tuple[float, float, float]], known: Atlas
) -> Placed:
    said = felt.verdict(each)
    radius = BARE if said.result in PLAIN else RADIUS
    x, y = _clear(at.x, at.y, radius, taken)
    taken.append((x, y, radius))
    return Placed(
        view=at.view,
        x=f"{x:.1f}",
        y=f"{y:.1f}",
        number=number,
        result=said.result,
        words=f"{number}: {name_of(each, known)}, {each.side}: {said.words}",
        radius=f"{radius:g}",
        baseline=f"{y + radius * 0.52:.1f}",
        line=f"M{x:.1f} {y:.1f}L{at.x:.1f} {at.y:.1f}" if hypot(x - at.x, y - at.y) > radius else "",
        corner=f"{x - radius:.1f}",
        corner_y=f"{y - radius:.1f}",
        width=f"{2 * radius:g}",
    )


def _clear(
    x: float, y: float, radius: float, taken: Sequence[tuple[float, float, float]]
) -> tuple[float, float]:
    """The place itself, or the nearest one round it that is free."""
    rings = (
        (step * STEP, 2 * pi * turn / DIRECTIONS) for step in range(FARTHEST) for turn in range(DIRECTIONS)
    )
    around = ((x + far * cos(angle), y + far * sin(angle)) for far, angle in rings)
    return next((at for at in around if _is_free(at, radius, taken)), (x, y))


def _is_free(at: tuple[float, float], radius: float, taken: Sequence[tuple[float, float, float]]) -> bool:
    return all(hypot(at[0] - x, at[1] - y) >= radius + other + ROOM for x, y, other in taken)
