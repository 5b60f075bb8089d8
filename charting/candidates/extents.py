"""How far the drawn pain reaches, in words for page and paper."""

from collections.abc import Sequence
from dataclasses import dataclass

from bodymaps import extent, words
from bodymaps.extent import AREA_ONLY, Extent
from bodymaps.marks import Mark, symptoms
from bodymaps.reach import Reach, tables
from charting.history.queries import story_of
from charting.visits.models import Visit

# Two kinds of cm² stand near each other, and differ: a figure is flat and of one size.
ON_FIGURE = "cm² beside an area are those of the figure"
FORMULAS = (("mosteller", "Mosteller"), ("du_bois", "Du Bois"))


@dataclass(frozen=True)
class Condition:
    """A condition on the area of widespread pain, and whether the drawing meets it."""

    name: str
    meets: bool


@dataclass(frozen=True)
class ExtentWords:
    """`short` is one line for all of it. `cm2` is "" unless height and weight are known; `flagged` and
    `beside` are "" when there is nothing to say.
    """

    short: str
    percent: str
    by_view: str
    cm2: str
    regions: int
    quadrants: str
    sites: str
    named_sites: str
    flagged: str
    beside: str
    parts: int
    conditions: tuple[Condition, ...]
    note: str


def extent_of(visit: Visit, marks: Sequence[Mark]) -> ExtentWords | None:
    """The extent of the pain of a visit, sized by what its story holds; None when no pain is drawn."""
    if not symptoms(marks):
        return None
    story = story_of(visit)
    sizes = [None if size is None else float(size) for size in (story.height_cm, story.weight_kg)]
    return _in_words(extent.extent(marks, *sizes), *sizes)


def _in_words(found: Extent, height_cm: float | None, weight_kg: float | None) -> ExtentWords:
    reach = found.reach
    regions = "1 region" if reach.regions == 1 else f"{reach.regions} regions"
    by_view = ", ".join(f"{view} {_percent(percent)}" for view, percent in found.by_view)
    return ExtentWords(
        short=f"{_percent(found.percent)} of the body surface, {regions}, {len(reach.sites)} of 19 sites",
        percent=_percent(found.percent),
        by_view=by_view,
        cm2=_cm2(found, height_cm, weight_kg),
        regions=reach.regions,
        quadrants="; ".join([*filter(None, [", ".join(reach.quadrants)]), *_trunk(reach)]),
        sites=f"{len(reach.sites)} of 19",
        named_sites=", ".join(site.label for site in reach.sites),
        flagged=words.listed([site.label for site in reach.flagged]) if reach.flagged else "",
        beside=words.listed([site.label for site in reach.beside]) if reach.beside else "",
        parts=len(reach.parts),
        conditions=_conditions(reach),
        note=AREA_ONLY,
    )


def _percent(percent: float) -> str:
    """ "4.5 %"; what is drawn is never printed as nothing."""
    if percent < 0.05:
        return "under 0.1 %" if percent > 0 else "0 %"
    return f"{percent:.1f} %"


def _cm2(found: Extent, height_cm: float | None, weight_kg: float | None) -> str:
    if found.cm2 is None:
        return ""
    sizes = " or ".join(f"{found.cm2[key]:.0f} cm² ({name})" for key, name in FORMULAS)
    return f"{sizes} of this patient's skin, at {height_cm:g} cm and {weight_kg:g} kg; {ON_FIGURE}"


def _trunk(reach: Reach) -> list[str]:
    return ["neck and trunk"] if reach.axial else []


def _conditions(reach: Reach) -> tuple[Condition, ...]:
    met = {
        "acr_1990": reach.acr_1990,
        "generalised_2016": reach.generalised_2016,
        "wp_2019": reach.wp_2019,
    }
    return tuple(Condition(tables()["widespread"][key]["words"], meets) for key, meets in met.items())
