"""What the ranked page may use."""

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import ClassVar, TypeVar

from bodymaps import explain, fewest, svg, words
from bodymaps.matching import Ranking
from bodymaps.reasoning.same_area import SameArea
from bodymaps.roots import RootMatch
from charting.candidates import muscles, picks, queries, weighing
from charting.candidates.extents import ExtentWords, extent_of
from charting.candidates.muscles import Line
from charting.candidates.muscles import words_of as words_of
from charting.candidates.others import OtherGroup, Urgent, exclude_first, listed, others
from charting.candidates.over import Picked
from charting.candidates.over import in_words as in_words
from charting.candidates.over import picked as picked
from charting.candidates.picks import Pick
from charting.candidates.queries import Ranked
from charting.candidates.weighing import ClusterLine, EvidenceLine
from charting.drawing import picture
from charting.drawing.picture import KindPicture, ViewPicture
from charting.flags.queries import FlagState
from charting.visits.models import Visit

BY_PLACE, WITH_EVIDENCE = "", "evidence"
Listed = TypeVar("Listed", Line, EvidenceLine)


@dataclass(frozen=True)
class RootLine:
    pick: str
    root: str
    side: str
    words: str
    is_picked: bool
    counts: str = field(default="", compare=False)


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

    `order` is that of the geometry ("") or that with evidence, whose lines are `judged`; the other list is
    then empty. `evidence_waits` says why there is no order with evidence, "" where there is one.
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
    order: str
    orders: tuple[Choice, ...]
    evidence_waits: str
    lines: tuple[Line, ...] | None
    judged: tuple[EvidenceLine, ...]
    clusters: tuple[ClusterLine, ...]
    same_areas: tuple[SameArea, ...]
    everything: bool
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

    @property
    def can_pick(self) -> bool:
        return bool(self.lines or self.judged or self.roots or self.others)

    @property
    def names_a_root(self) -> bool:
        """Whether a root stands in the order with evidence."""
        return any(line.layer == weighing.LAYERS["root"][0] for line in self.judged)


def what_to_examine(
    visit: Visit, *, pick: str, everything: bool, area: int = 0, order: str = BY_PLACE
) -> WhatToExamine:
    """`area`: the number of the area to rank alone, 0 for the whole; so is a number that there is not. An
    area alone, and what is held back, has the order of the geometry only.
    """
    found = queries.ranked(visit)
    area = _area(found, area)
    ranking = _ranking(found, area) or Ranking((), (), ())
    held = found.flags.holds_back
    order = WITH_EVIDENCE if order == WITH_EVIDENCE and found.evidence and not area else BY_PLACE
    chosen = _chosen(found, pick)
    key = chosen.key if chosen else ""
    every = muscles.lines_of(found, area, ranking, key)
    judged = weighing.lines_of(found, _picks(every), key) if order else ()
    listed_here = every if not order else ()
    alone = found.explanation.rankings if found.explanation and not area else ()
    shown, best = _first(listed_here, everything), _first(judged, everything)
    offered = [*(line.pick for line in shown), *(line.pick for line in best)]
    box = _box(found, offered, ranking, alone, chosen)
    said = weighing.counts_in(found, area)
    return WhatToExamine(
        danger=found.flags,
        views=_views(found, area, box),
        legs_hidden=box != picture.WHOLE,
        key=picture.key_of(found.marks, found.told.strengths),
        has_spot=bool(found.told.spots),
        no_pain=found.drawing.no_pain,
        choices=_choices(found, area, order),
        area=area,
        about=found.areas[area - 1].words if area else "",
        explained=sentences(found) if not area and not held and not order else [],
        doubts=ranking.fewest.doubts if ranking.fewest and not area and not held else (),
        keeps=keeps(area, everything, box == picture.WHOLE, order),
        order=order,
        orders=_orders(found, area, order, key),
        evidence_waits=_evidence_waits(found, area),
        lines=None if found.ranking is None else shown,
        judged=best,
        clusters=weighing.cluster_lines(found) if not area else (),
        same_areas=found.same_areas if not area else (),
        everything=everything,
        not_shown=len(judged or listed_here) - len(best or shown),
        roots=tuple(_root(root, key, said) for root in ranking.roots) if not order else (),
        root_caution=root_caution(),
        exclude_first=_exclude_first(found),
        others=others(ranking, key, alone, said) if not order else (),
        left=_left(found, ranking, box) if not area and not held else (),
        notices=ranking.notices,
        picked=_picked(found, chosen, box, area),
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


def keeps(area: int, everything: bool, whole: bool, order: str = BY_PLACE) -> str:
    """ "&area=2&all=1&legs=1&order=evidence": what follows the pick in an address; `whole`: the figure shows
    the legs.
    """
    said = (("area", area), ("all", int(everything)), ("legs", int(whole)), ("order", order))
    return "".join(f"&{name}={value}" for name, value in said if value)


def allowed(pick: Pick | None, is_held: bool) -> Pick | None:
    """The pick; None for a muscle while muscles are held back."""
    return None if is_held and pick and not (pick.is_root or pick.layer) else pick


def picked_over(visit: Visit, pick: str, whole: bool, area: int = 0) -> Picked:
    """What a pick shows over the figure, `whole` or down to the fingertips; nothing for what is held back."""
    found = queries.ranked(visit)
    box = picture.WHOLE if whole else picture.UPPER
    return _picked(found, _chosen(found, pick), box, _area(found, area))


@cache
def root_caution() -> dict[str, str]:
    """The sentence that stands beside nerve roots, and its source."""
    return tomllib.loads((Path(__file__).parent / "root_caution.toml").read_text(encoding="utf-8"))


def _area(found: Ranked, area: int) -> int:
    return area if found.explanation and 0 < area <= len(found.areas) else 0


def _chosen(found: Ranked, pick: str) -> Pick | None:
    return allowed(picks.parse(pick if found.ranking else "", found.atlas), found.flags.holds_back)


def _picked(found: Ranked, chosen: Pick | None, box: str, area: int) -> Picked:
    """The pattern, the facts and, of the whole, what speaks for and against it."""
    return replace(
        picked(chosen.key if chosen else "", box, found.atlas),
        panel=None if area else weighing.panel_of(found, chosen),
        no_panel=weighing.why_no_panel(found, chosen, area),
    )


def _picks(lines: Iterable[Line]) -> dict[tuple[str, str, str], str]:
    """What the lines of muscles pick, by candidate: the site that fits the drawing best."""
    keys = (line.pick.split(".") for line in lines)
    return {("muscle", name, side): ".".join((name, side, *rest)) for name, side, *rest in keys}


def _first(lines: Sequence[Listed], everything: bool) -> tuple[Listed, ...]:
    """The first, and what is picked; all when asked."""
    most = WhatToExamine.SHOWN
    return tuple(line for place, line in enumerate(lines) if everything or place < most or line.is_picked)


def _orders(found: Ranked, area: int, order: str, key: str) -> tuple[Choice, ...]:
    """The two orders of the whole, the pick carried along; none without evidence."""
    if not found.evidence:
        return ()
    picks_too = f"&pick={key}" if key else ""
    return (
        Choice("By place", f"?{picks_too[1:]}", not order and not area),
        Choice("With evidence", f"?order={WITH_EVIDENCE}{picks_too}", bool(order)),
    )


def _evidence_waits(found: Ranked, area: int) -> str:
    if found.flags.holds_back:
        return "The order with evidence waits until the signs of danger are decided."
    if area:
        return "An area alone is ranked by place only. What story and findings add is said of the whole."
    return ""


def _box(
    found: Ranked, shown: Iterable[str], ranking: Ranking, alone: Sequence[Ranking], chosen: Pick | None
) -> str:
    """Room for the drawing and for what the page offers to pick, so that a pick never changes the figure."""
    known = found.atlas
    offered = [picks.parse(pick, known) for pick in shown]
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


def _choices(found: Ranked, area: int, order: str) -> tuple[Choice, ...]:
    if found.explanation is None:
        return ()
    one_by_one = (Choice(f"Area {n}", f"?area={n}", n == area) for n in range(1, len(found.areas) + 1))
    return (Choice("The whole", f"?order={order}" if order else "?", not area), *one_by_one)


def _root(found: RootMatch, shown: str, said: Mapping[tuple[str, str, str], str]) -> RootLine:
    pick, counts = Pick(found.root, found.side), said.get(("root", found.root, found.side), "")
    return RootLine(pick.key, words.root(found.root), found.side, found.reasons[0], shown == pick.key, counts)
