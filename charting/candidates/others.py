"""What else could hurt there: nerves, plexuses, joints and organs, named beside the muscles."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import ClassVar

from bodymaps import words
from bodymaps.beside import Beside
from bodymaps.matching import Ranking
from charting.candidates.picks import Pick


@dataclass(frozen=True)
class OtherLine:
    """One nerve, plexus, joint or organ. `percent` is its agreement, 0-100; `counts` what speaks for and
    against it.
    """

    pick: str
    name: str
    side: str
    words: str
    percent: int
    is_urgent: bool
    is_picked: bool
    counts: str = field(default="", compare=False)


@dataclass(frozen=True)
class Urgent:
    """An organ to exclude before any muscle is thought of. `query` leads to what is known of it."""

    name: str
    side: str
    query: str

    @property
    def words(self) -> str:
        return f"{self.name}, {self.side}" if self.side else self.name


@dataclass(frozen=True)
class OtherGroup:
    """The first of one layer and all that are urgent, best agreement first; `not_shown` more agree less."""

    MOST: ClassVar[int] = 5
    HEADINGS: ClassVar[dict[str, str]] = {
        "visceral": "Organs",
        "joint_referral": "Joints",
        "peripheral_nerve": "Nerves",
        "plexus": "Plexuses",
    }

    heading: str
    lines: tuple[OtherLine, ...]
    not_shown: int

    NAMED: ClassVar[int] = 2

    @property
    def names(self) -> str:
        return "; ".join(line.name for line in self.lines[: self.NAMED])

    @property
    def not_named(self) -> int:
        return max(0, len(self.lines) - self.NAMED) + self.not_shown


def others(
    ranking: Ranking, shown: str, areas: Sequence[Ranking], said: Mapping[tuple[str, str, str], str]
) -> tuple[OtherGroup, ...]:
    """Organs first, because they are to be excluded first. `shown` is the key of the pick; `said`: what
    speaks for and against each, in short.
    """
    return tuple(_groups(ranking, shown, areas, said))


def listed(layer: str, whole: Ranking, areas: Sequence[Ranking] = ()) -> tuple[tuple[Beside, int], ...]:
    """What is listed of one layer, each with the number of the area it is felt in alone, 0 for the whole: the
    first few, and every one that is urgent.
    """
    return tuple(
        one
        for place, one in enumerate(every(layer, whole, areas))
        if place < OtherGroup.MOST or one[0].urgent
    )


def every(layer: str, whole: Ranking, areas: Sequence[Ranking]) -> list[tuple[Beside, int]]:
    """All of one layer, best agreement first, each with its area as in `listed`. One area of several counts
    little in the whole: what is felt there is named too, where its usual area is touched.
    """
    named: dict[tuple[str, str], tuple[Beside, int]] = {}
    for area, ranking in enumerate((whole, *areas)):
        for one in ranking.beside.get(layer, ()):
            if not area or one.core_coverage > 0:
                named.setdefault((one.id, one.side), (one, area))
    return sorted(named.values(), key=lambda entry: -entry[0].score)


def exclude_first(whole: Ranking, areas: Sequence[Ranking] = ()) -> tuple[Urgent, ...]:
    """Every urgent one of the whole drawing; and of each area alone, where its usual area is touched. One
    area of several counts little in the whole, but what is urgent about it is as urgent. In the order of the
    atlas, which begins with heart and aorta.
    """
    if not whole.held:
        return ()
    order = [name for found in whole.held.atlas.structures.values() for name in found]
    found: dict[tuple[str, str], Urgent] = {}
    for area, ranking in enumerate((whole, *areas)):
        for one in (one for layer in ranking.beside.values() for one in layer if one.urgent):
            if not area or one.core_coverage > 0:
                paired = whole.held.atlas.structures[one.layer][one.id].sides == "paired"
                found.setdefault((one.id, one.side), _urgent(one, area, one.side if paired else ""))
    return tuple(found[key] for key in sorted(found, key=lambda key: order.index(key[0])))


def _urgent(one: Beside, area: int, side: str) -> Urgent:
    """`side` is "" for what there is only one of: the heart is felt on either side."""
    pick = Pick(one.id, one.side, layer=one.layer).key
    within = f"area={area}&" if area else ""
    return Urgent(words.sentence_case(one.name), side, f"?{within}pick={pick}#felt-there")


def _groups(
    ranking: Ranking, shown: str, areas: Sequence[Ranking], said: Mapping[tuple[str, str, str], str]
) -> Iterator[OtherGroup]:
    for layer, heading in OtherGroup.HEADINGS.items():
        named = listed(layer, ranking, areas)
        if named:
            lines = tuple(_line(one, area, shown, said) for one, area in named)
            yield OtherGroup(heading, lines, len(every(layer, ranking, areas)) - len(lines))


def _line(one: Beside, area: int, shown: str, said: Mapping[tuple[str, str, str], str]) -> OtherLine:
    pick = Pick(one.id, one.side, layer=one.layer).key
    reasons = ", ".join(one.reasons)
    return OtherLine(
        pick=pick,
        name=words.sentence_case(one.name),
        side="" if one.side == "midline" else one.side,
        words=reasons.replace("the drawing", f"area {area}") if area else reasons,
        percent=max(1, round(100 * one.score)),
        is_urgent=one.urgent,
        is_picked=shown == pick,
        counts=said.get((one.layer, one.id, one.side), ""),
    )
