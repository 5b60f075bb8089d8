"""The areas of a visit as places to write about, and where each sentence from the record belongs."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from bodymaps import parts
from bodymaps.matching import Ranking
from charting.assessment.made import MUSCLE, ROOT, Made
from charting.assessment.queries import OF_THE_VISIT, WHOLE, where_of
from charting.assessment.written import By, Written
from charting.candidates.queries import Ranked
from charting.drawing.areas import ToldArea


@dataclass(frozen=True)
class Place:
    """One area, or with number 0 the visit as a whole. `words`: what is felt there. `named`: what its ranking
    alone names, with how alike (0..1). `drawn`: keys of the parts of the body that are drawn on.
    """

    number: int
    where: str
    words: str = ""
    strokes: tuple[str, ...] = ()
    drawn: tuple[str, ...] = ()
    named: Mapping[By, float] | None = None

    @property
    def first(self) -> str:
        """The stroke that an answer names the area by, "" for the visit as a whole."""
        return self.strokes[0] if self.strokes else ""

    @property
    def parts(self) -> frozenset[str]:
        """The same without their sides: ids of parts."""
        return frozenset(parts.part(key).id for key in self.drawn)

    def names(self, by: By) -> float:
        return (self.named or {}).get(by, 0.0)


def places_of(found: Ranked) -> tuple[Place, ...]:
    """The areas in their order, then the visit as a whole."""
    areas = tuple(_place(area, found) for area in found.areas)
    return (*areas, Place(WHOLE, OF_THE_VISIT))


def drawn_in(places: Iterable[Place]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for place in places for key in place.drawn))


def numbers_for(made: Made, places: Sequence[Place], written: Mapping[int, Written]) -> set[int]:
    """Where a sentence is offered: wherever its source was named, and once beside that in the one place it
    fits best, unless it was taken or taken out somewhere already.
    """
    chosen = {number for number, said in written.items() if made.by and said.source(made.by)}
    if any(said.sentence(made.key) for said in written.values()):
        return chosen
    return chosen | ({_home(made, places)} if not chosen else set())


def _home(made: Made, places: Sequence[Place]) -> int:
    areas = [place for place in places if place.number]
    if made.by:
        best = max(areas, key=lambda place: place.names(made.by) if made.by else 0.0, default=None)
        if best and best.names(made.by):
            return best.number
        return areas[0].number if len(areas) == 1 else WHOLE
    touched = (place.number for place in areas if place.parts & made.near)
    return next(touched, WHOLE)


def _place(area: ToldArea, found: Ranked) -> Place:
    drawn = parts.parts_drawn(area.marks)
    ranking = _ranking(area.number, found)
    named = _named(ranking, without_muscles=found.flags.holds_back) if ranking else {}
    where = where_of(area)
    said = area.words.removeprefix(f"{where}: ")
    return Place(area.number, where, said, area.strokes, drawn, named)


def _ranking(number: int, found: Ranked) -> Ranking | None:
    if found.explanation:
        return found.explanation.rankings[number - 1]
    return found.ranking if len(found.areas) == 1 else None


def _named(ranking: Ranking, *, without_muscles: bool) -> dict[By, float]:
    muscles = () if without_muscles else ranking.muscles
    named = {(MUSCLE, one.muscle, one.side): one.score for one in muscles}
    named |= {(ROOT, one.root, one.side): one.score for one in ranking.roots}
    beside = (one for layer in ranking.beside.values() for one in layer)
    return named | {(one.layer, one.id, one.side): one.score for one in beside}
