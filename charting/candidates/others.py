"""What else could hurt there: nerves, plexuses, joints and organs, named beside the muscles."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from bodymaps import words
from bodymaps.beside import Beside
from bodymaps.matching import Ranking
from charting.candidates.picks import Pick


@dataclass(frozen=True)
class OtherLine:
    """One nerve, plexus, joint or organ. `percent` is its agreement, 0-100."""

    pick: str
    name: str
    side: str
    words: str
    percent: int
    is_urgent: bool
    is_picked: bool


@dataclass(frozen=True)
class OtherGroup:
    """The first of one layer, best agreement first; `not_shown` more agree less."""

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


def others(ranking: Ranking, shown: str) -> tuple[OtherGroup, ...]:
    """Organs first, because they are to be excluded first. `shown` is the key of the pick."""
    return tuple(_groups(ranking, shown))


def _groups(ranking: Ranking, shown: str) -> Iterator[OtherGroup]:
    for layer, heading in OtherGroup.HEADINGS.items():
        found = ranking.beside.get(layer, ())
        if found:
            lines = tuple(_line(one, shown) for one in found[: OtherGroup.MOST])
            yield OtherGroup(heading, lines, len(found) - len(lines))


def _line(one: Beside, shown: str) -> OtherLine:
    pick = Pick(one.id, one.side, layer=one.layer).key
    return OtherLine(
        pick=pick,
        name=words.sentence_case(one.name),
        side="" if one.side == "midline" else one.side,
        words=", ".join(one.reasons),
        percent=max(1, round(100 * one.score)),
        is_urgent=one.urgent,
        is_picked=shown == pick,
    )
