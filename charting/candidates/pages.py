"""What the ranked page may use."""

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import ClassVar

from bodymaps import alike, atlas, explain, fewest, own, svg
from bodymaps.atlas import ALL_SITES, Atlas, Dermatome, Muscle, Structure
from bodymaps.matching import Match, Ranking
from bodymaps.roots import RootMatch
from charting.candidates import picks, queries, wholes
from charting.candidates.extents import ExtentWords, extent_of
from charting.candidates.others import OtherGroup, Urgent, exclude_first, listed, others
from charting.candidates.picks import LayerPicture, Pick
from charting.candidates.queries import Ranked
from charting.drawing import picture
from charting.drawing.picture import KindPicture, ViewPicture
from charting.flags.queries import FlagState, holding
from charting.patterns.queries import atlas_for
from charting.visits.models import Visit

# How many unexplained regions a line names before it counts the rest.
MOST_UNEXPLAINED = 3


@dataclass(frozen=True)
class Line:
    """One muscle on one side, in words. `percent` is the agreement of the whole, 0-100; `own` says that its
    pattern is the practice's own, and which version; `same_area` names the muscles it cannot be told apart
    from.
    """

    pick: str
    place: int
    name: str
    side: str
    words: str
    percent: int
    is_picked: bool
    own: str
    same_area: str


@dataclass(frozen=True)
class RootLine:
    pick: str
    root: str
    side: str
    words: str
    is_picked: bool


@dataclass(frozen=True)
class SiteFact:
    """Where one trigger point lies; `pick` shows its pattern alone."""

    pick: str
    where: str
    how_common: str
    note: str
    is_shown: bool


@dataclass(frozen=True)
class Picked:
    """The pattern on the figure and the facts beside it. Without a pick: empty layers, no facts."""

    pick: str
    heading: str
    layers: tuple[LayerPicture, ...]
    muscle: Muscle | None
    sites: tuple[SiteFact, ...]
    root: Dermatome | None
    other: Structure | None = None

    @property
    def is_own(self) -> bool:
        return self.muscle is not None and own.is_own(self.muscle)


@dataclass(frozen=True)
class LeftPicture:
    """What no source of the smallest set explains, in one view."""

    view: str
    box: str
    path: str


@dataclass(frozen=True)
class Choice:
    """What can be ranked: the whole, or one area. `query` leads there."""

    label: str
    query: str
    is_chosen: bool


@dataclass(frozen=True)
class WhatToExamine:
    """The page. `lines` is None before the danger screen is complete. While a sign of danger waits for a
    decision no muscle stands here, nor what explains the whole: nerves, joints and organs only.

    With two areas or more there are `choices`, `about` says in words what is ranked, and `explained` what
    explains the whole. `keeps` is what a link to a pick carries along of the address.
    """

    SHOWN: ClassVar[int] = 12

    danger: FlagState
    views: tuple[ViewPicture, ...]
    legs_hidden: bool
    key: tuple[KindPicture, ...]
    has_spot: bool
    no_pain: bool
    choices: tuple[Choice, ...]
    area: int
    about: str
    explained: list[str]
    doubts: tuple[str, ...]
    keeps: str
    lines: tuple[Line, ...] | None
    not_shown: int
    roots: tuple[RootLine, ...]
    root_caution: dict[str, str]
    exclude_first: tuple[Urgent, ...]
    others: tuple[OtherGroup, ...]
    left: tuple[LeftPicture, ...]
    notices: tuple[str, ...]
    picked: Picked
    atlas_version: str
    extent: ExtentWords | None


def what_to_examine(visit: Visit, *, pick: str, everything: bool, area: int = 0) -> WhatToExamine:
    """`area`: the number of the area to rank alone, 0 for the whole; so is a number that there is not."""
    found = queries.ranked(visit)
    area = area if found.explanation and 0 < area <= len(found.areas) else 0
    ranking = _ranking(found, area) or Ranking((), (), ())
    held = found.flags.holds_back
    chosen = allowed(picks.parse(pick if found.ranking else "", found.atlas), held)
    every = () if held else _lines(found, area, ranking, chosen.key if chosen else "")
    shown = every if everything else every[: WhatToExamine.SHOWN]
    alone = found.explanation.rankings if found.explanation and not area else ()
    box = _box(found, shown, ranking, alone, chosen)
    over = picked(chosen.key if chosen else "", box, found.atlas)
    return WhatToExamine(
        danger=found.flags,
        views=_views(found, area, box),
        legs_hidden=box != picture.WHOLE,
        key=picture.key_of(found.marks, found.told.strengths),
        has_spot=bool(found.told.spots),
        no_pain=found.drawing.no_pain,
        choices=_choices(found, area),
        area=area,
        about=found.areas[area - 1].words if area else "",
        explained=sentences(found) if not area and not held else [],
        doubts=ranking.fewest.doubts if ranking.fewest and not area and not held else (),
        keeps=keeps(area, everything, box == picture.WHOLE),
        lines=None if found.ranking is None else shown,
        not_shown=len(every) - len(shown),
        roots=tuple(_root(root, over.pick) for root in ranking.roots),
        root_caution=root_caution(),
        exclude_first=_exclude_first(found),
        others=others(ranking, over.pick, alone),
        left=_left(found, ranking, box) if not area and not held else (),
        notices=ranking.notices,
        picked=over,
        atlas_version=found.atlas.version,
        extent=extent_of(visit, found.marks),
    )


def sentences(found: Ranked) -> list[str]:
    """What explains the whole drawing, with the areas when there are several, and what nothing explains."""
    if not found.ranking or not found.ranking.fewest:
        return []
    if not found.explanation:
        return [found.ranking.fewest.sentence]
    areas = [area.marks for area in found.areas]
    whole = explain.together(found.ranking.fewest, found.explanation.whole, areas)
    return [whole, *found.explanation.sentences]


def keeps(area: int, everything: bool, whole: bool) -> str:
    """ "&area=2&all=1&legs=1": what follows the pick in an address; `whole`: the figure shows the legs."""
    return (f"&area={area}" if area else "") + ("&all=1" if everything else "") + ("&legs=1" if whole else "")


def allowed(pick: Pick | None, is_held: bool) -> Pick | None:
    """The pick; None for a muscle while muscles are held back."""
    return None if is_held and pick and not (pick.is_root or pick.layer) else pick


def picked_over(visit: Visit, pick: str, whole: bool) -> Picked:
    """What a pick shows over the figure, `whole` or down to the fingertips; nothing for what is held back."""
    box = picture.WHOLE if whole else picture.UPPER
    known = atlas_for(visit.patient.practice)
    chosen = allowed(picks.parse(pick, known), bool(holding(visit)))
    return picked(chosen.key if chosen else "", box, known)


def picked(text: str, box: str, known: Atlas | None = None) -> Picked:
    """What a pick shows, in the `box` of the figure under it. Needs the atlas only (by default that of the
    release), no drawing.
    """
    known = known or atlas.load()
    pick = picks.parse(text, known)
    layers = picks.layers_of(pick, known, box)
    if pick is None:
        return Picked("", "", layers, None, (), None)
    if pick.layer:
        other = known.structures[pick.layer][pick.id]
        side = "" if pick.side == "midline" else f", {pick.side}"
        return Picked(pick.key, f"{in_words(other.name)}{side}", layers, None, (), None, other)
    if pick.is_root:
        root = known.dermatomes[pick.id]
        return Picked(pick.key, f"Nerve root {pick.id}, {pick.side}", layers, None, (), root)
    muscle = known.muscles[pick.id]
    heading = f"{in_words(muscle.name)}, {pick.side}"
    return Picked(pick.key, heading, layers, muscle, _sites(muscle, pick), None)


def words_of(match: Match, what: str = "the drawing") -> str:
    """'covers 80 % of the core zone, explains 65 % of the drawing; unexplained: lateral elbow'

    Of many unexplained regions the largest few are named and the rest counted; a region of the muscle's
    own side is named without it. `what` was ranked.
    """
    said = ", ".join(reason for reason in match.reasons if not reason.startswith("unexplained"))
    said = said.replace("the drawing", what)
    if not match.unexplained:
        return said
    named = [region.replace(f"{match.side} ", "") for region in match.unexplained[:MOST_UNEXPLAINED]]
    more = len(match.unexplained) - MOST_UNEXPLAINED
    rest = f" and {more} more" if more > 0 else ""
    return f"{said}; unexplained: {', '.join(named)}{rest}"


def in_words(name: str) -> str:
    """A name at the beginning of a line."""
    return name[:1].upper() + name[1:]


@cache
def root_caution() -> dict[str, str]:
    """The sentence that stands beside nerve roots, and its source."""
    return tomllib.loads((Path(__file__).parent / "root_caution.toml").read_text(encoding="utf-8"))


def _box(
    found: Ranked, lines: Iterable[Line], ranking: Ranking, alone: Sequence[Ranking], chosen: Pick | None
) -> str:
    """Room for the drawing and for what the page offers to pick, so that a pick never changes the figure."""
    known = found.atlas
    offered = [picks.parse(line.pick, known) for line in lines]
    offered += [Pick(root.root, root.side) for root in ranking.roots]
    offered += [
        Pick(one.id, one.side, layer=one.layer)
        for layer in OtherGroup.HEADINGS
        for one, _ in listed(layer, ranking, alone)
    ]
    patterns = [area for pick in (*offered, chosen) if pick for area in picks.areas_of(pick, known)]
    return picture.box_for([*patterns, *(mark.area for mark in found.marks)])


def _left(found: Ranked, ranking: Ranking, box: str) -> tuple[LeftPicture, ...]:
    if not ranking.fewest:
        return ()
    outlines = fewest.outlines(ranking.fewest, found.marks)
    return tuple(LeftPicture(view, box, svg.path(area)) for view, area in outlines.items())


def _exclude_first(found: Ranked) -> tuple[Urgent, ...]:
    """Of the whole drawing, whatever area is looked at."""
    areas = found.explanation.rankings if found.explanation else ()
    return exclude_first(found.ranking, areas) if found.ranking else ()


def _ranking(found: Ranked, area: int) -> Ranking | None:
    return found.explanation.rankings[area - 1] if found.explanation and area else found.ranking


def _views(found: Ranked, area: int, box: str) -> tuple[ViewPicture, ...]:
    """The whole drawing; with one area chosen, the others hardly to be seen. Numbers from two areas on."""
    several = found.areas if len(found.areas) > 1 else ()
    if not area:
        return picture.views_of(found.marks, box=box, areas=several, spots=found.told.spots)
    others = [mark for other in several if other.number != area for mark in other.marks]
    shown = (*found.areas[area - 1].marks, *found.told.findings)
    return picture.views_of(shown, box=box, areas=several, spots=found.told.spots, faint=others)


def _choices(found: Ranked, area: int) -> tuple[Choice, ...]:
    if found.explanation is None:
        return ()
    one_by_one = (Choice(f"Area {n}", f"?area={n}", n == area) for n in range(1, len(found.areas) + 1))
    return (Choice("The whole", "?", not area), *one_by_one)


def _lines(found: Ranked, area: int, ranking: Ranking, shown: str) -> tuple[Line, ...]:
    if found.explanation and not area:
        lines = found.explanation.whole
        return tuple(_whole_line(place, line, shown, found.atlas) for place, line in enumerate(lines, 1))
    what = f"area {area}" if area else "the drawing"
    known = found.atlas
    return tuple(_line(place, match, shown, what, known) for place, match in enumerate(ranking.muscles, 1))


def _whole_line(place: int, line: explain.Line, shown: str, known: Atlas) -> Line:
    return Line(
        pick=wholes.pick_of(line).key,
        place=place,
        name=in_words(line.name),
        side=line.side,
        words=wholes.words_of(line),
        percent=max(1, round(100 * line.score)),
        is_picked=shown.split(".")[:2] == [line.muscle, line.side],
        own=own.words_of(known, line.muscle),
        same_area=_same_area(line.muscle, known),
    )


def _line(place: int, match: Match, shown: str, what: str, known: Atlas) -> Line:
    pick = Pick(match.muscle, match.side, match.site)
    return Line(
        pick=pick.key,
        place=place,
        name=in_words(match.name),
        side=match.side,
        words=words_of(match, what),
        percent=max(1, round(100 * match.score)),
        # Another site of the same muscle keeps its line picked.
        is_picked=shown.split(".")[:2] == [match.muscle, match.side],
        own=own.words_of(known, match.muscle),
        same_area=_same_area(match.muscle, known),
    )


def _same_area(muscle: str, known: Atlas) -> str:
    """ "deltoid, acromial part": the muscles that its pattern cannot be told apart from."""
    return "; ".join(known.muscles[other].name for other in alike.same_area(known)[muscle])


def _root(found: RootMatch, shown: str) -> RootLine:
    pick = Pick(found.root, found.side)
    return RootLine(pick.key, found.root, found.side, found.reasons[0], shown == pick.key)


def _sites(muscle: Muscle, pick: Pick) -> tuple[SiteFact, ...]:
    return tuple(
        SiteFact(
            pick=Pick(muscle.id, pick.side, site.id).key,
            where=in_words(site.where),
            how_common=site.how_common,
            note=site.note,
            is_shown=pick.site in (ALL_SITES, site.id),
        )
        for site in muscle.sites
    )
