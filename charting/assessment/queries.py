"""Every read of what was concluded. A visit given here came through the patients' door."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from charting.assessment import certainty, written
from charting.assessment.made import Danger, Record
from charting.assessment.models import Conclusion
from charting.assessment.written import ABOUT, HEADINGS, Sentence, Written
from charting.candidates.queries import Ranked
from charting.drawing.areas import ToldArea, first_held
from charting.examination.queries import as_felt, muscles_of
from charting.flags.models import Decision
from charting.flags.queries import FlagState, Standing
from charting.screening.sections import parts_for
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


def record_of(visit: Visit, found: Ranked, drawn: Sequence[str]) -> Record:
    """What sentences are made from; `drawn`: keys of the parts of the body that are drawn on. One query."""
    felt = tuple(as_felt(row) for row in muscles_of(visit))
    return Record(
        case=found.facts.case,
        atlas=found.atlas,
        unexamined=tuple(one for one in felt if not one.is_examined),
        dangers=tuple(_dangers(found.flags, visit.patient.practice.zone)),
        unanswered=tuple(_unanswered(found)),
        screens=parts_for(drawn) if drawn else (),
    )


def _dangers(flags: FlagState, zone: tzinfo) -> Iterator[Danger]:
    for each in flags.standing:
        yield _decided(each.last, each.because, zone) if each.last and not each.is_open else _danger(each)
    last = {each.flag: each for each in flags.no_longer_raised}
    yield from (_decided(each, "", zone) for each in last.values())


def _danger(each: Standing) -> Danger:
    return Danger(each.flag.id, each.flag.title, each.because, waits=each.is_open)


def _decided(each: Decision, because: str, zone: tzinfo) -> Danger:
    day = each.decided_at.astimezone(zone).date()
    return Danger(
        id=each.flag,
        title=str(each.shown["title"]),
        because=because,
        waits=False,
        outcome=each.get_outcome_display(),
        why=each.why,
        decided=f"{each.decided_by} on {day:%-d %B %Y}",
        follow_up=f"to be followed up on {each.follow_up_on:%-d %B %Y}" if _is_due(each) else "",
        cleared=each.outcome == Decision.Outcome.CLEARED,
    )


def _is_due(each: Decision) -> bool:
    return each.follow_up_on is not None and not hasattr(each, "followed_up")


def _unanswered(found: Ranked) -> Iterator[tuple[str, str]]:
    """(which questions, the sentence about them)."""
    left = sum(not each.answer for each in found.screen)
    if left:
        yield "screen", f"Danger screen: {left} of {len(found.screen)} questions not answered."
    for each in found.flags.to_ask:
        labels = "; ".join(item.label for item in each.items)
        yield each.group.id, f"{each.group.title}, called for and not answered: {labels}."


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
