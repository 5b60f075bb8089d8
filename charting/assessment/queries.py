"""Every read of what was concluded. A visit given here came through the patients' door."""

from collections.abc import Sequence
from dataclasses import dataclass

from charting.assessment import certainty, written
from charting.assessment.models import Conclusion
from charting.assessment.written import ABOUT, HEADINGS, Sentence, Written
from charting.candidates.queries import Ranked
from charting.drawing.areas import ToldArea, first_held
from charting.visits.models import Visit

WHOLE = 0
OF_THE_VISIT = "The visit as a whole"


@dataclass(frozen=True)
class SourceSaid:
    """One source in words: "Scalenus medius", "left", "likely". `excludes`: it is held not to be it."""

    name: str
    side: str
    certainty: str
    excludes: bool

    @property
    def words(self) -> str:
        return ", ".join(part for part in (self.name, self.side) if part) + f": {self.certainty}"


@dataclass(frozen=True)
class AreaConclusion:
    """What was concluded about one area, as it stands in the note. `number`: 0 for the visit as a whole, and
    for an area that is gone; `where` names it in words ("Area 1, left neck").
    """

    number: int
    where: str
    sources: tuple[SourceSaid, ...]
    sentences: tuple[Sentence, ...]
    is_gone: bool = False

    def about(self, about: str) -> tuple[str, ...]:
        """The sentences about one of written.ABOUT."""
        return tuple(each.text for each in self.sentences if each.about == about)

    @property
    def groups(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """(heading, sentences), those without any left out."""
        return tuple((HEADINGS[each], self.about(each)) for each in ABOUT if self.about(each))


@dataclass(frozen=True)
class Placed:
    """The rows of a visit by the area that each belongs to now. `by_number`: the row of an area, 0 for that
    of the visit as a whole. `loose`: (row, number of the area it fell to, 0 for none) of those written about
    an area that is gone or has become part of another.
    """

    by_number: dict[int, Conclusion]
    loose: tuple[tuple[Conclusion, int], ...]


def conclusions(visit: Visit, found: Ranked) -> tuple[AreaConclusion, ...]:
    """What was concluded, for the note: the areas in their order, the visit as a whole, then what was written
    about areas that are gone, less what the clinician left out. Empty ones are left out. One query.
    """
    return concluded(rows_of(visit), found.areas)


def concluded(rows: Sequence[Conclusion], areas: Sequence[ToldArea]) -> tuple[AreaConclusion, ...]:
    placed = place(rows, areas)
    names = {area.number: where_of(area) for area in areas}
    order = [*(area.number for area in areas), WHOLE]
    held = [(number, placed.by_number[number]) for number in order if number in placed.by_number]
    told = [_told(number, names.get(number, OF_THE_VISIT), row) for number, row in held]
    told += [_told(WHOLE, row.where, row, gone=True) for row, _ in placed.loose if not row.left_out]
    return tuple(each for each in told if each.sources or each.sentences)


def rows_of(visit: Visit) -> tuple[Conclusion, ...]:
    """One query."""
    return tuple(Conclusion.objects.filter(visit=visit))


def place(rows: Sequence[Conclusion], areas: Sequence[ToldArea]) -> Placed:
    """Each row belongs to the area that holds the first of its strokes that still stands; of several that
    belong to one area, the one written first.
    """
    holder = {stroke: area.number for area in areas for stroke in area.strokes}
    by_number: dict[int, Conclusion] = {}
    loose: list[tuple[Conclusion, int]] = []
    for row in rows:
        number = first_held(row.strokes, holder) if row.strokes else WHOLE
        if number is None or number in by_number:
            loose.append((row, number or WHOLE))
        else:
            by_number[number] = row
    return Placed(by_number, tuple(loose))


def where_of(area: ToldArea) -> str:
    """ "Area 1, left neck-shoulder angle"."""
    return f"Area {area.number}, {area.where}"


def written_in(row: Conclusion | None) -> Written:
    return written.read(row.sources, row.sentences) if row else Written()


def _told(number: int, where: str, row: Conclusion, *, gone: bool = False) -> AreaConclusion:
    said, known = written_in(row), certainty.load()
    sources = tuple(
        SourceSaid(
            each.name,
            "" if each.side == "midline" else each.side,
            known.words_for(each.certainty),
            known.excludes(each.certainty),
        )
        for each in said.sources
    )
    return AreaConclusion(number, where, sources, said.taken, gone)
