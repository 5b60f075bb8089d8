"""What the page of the assessment may use."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from charting.assessment import certainty, services
from charting.assessment.assembling import Assembled, assemble
from charting.assessment.certainty import Certainty
from charting.assessment.choices import Choices, choices_of
from charting.assessment.forms import TEXT, Typed, offered_names, read
from charting.assessment.made import Made, Record
from charting.assessment.models import Conclusion
from charting.assessment.places import Place, drawn_in, places_of
from charting.assessment.queries import (
    AreaConclusion,
    Placed,
    concluded,
    place,
    record_of,
    rows_of,
    written_in,
)
from charting.assessment.writing import Asked, apply
from charting.assessment.written import ABOUT, HEADINGS, OWN, By, Sentence, Written
from charting.candidates.queries import Ranked, ranked
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, drafts_under
from charting.staff.models import User
from charting.visits.models import Visit
from charting.visits.queries import may_write

# (where, on record now, typed by you), after two saves at once.
Clashes = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class SentenceShown:
    """A sentence that was taken. `now`: what the record says in its place today, "" when that is unchanged;
    `gone`: the record does not say it any more.
    """

    key: str
    text: str
    now: str = ""
    gone: bool = False
    error: str = ""

    @property
    def field(self) -> str:
        return f"{TEXT}{self.key}"


@dataclass(frozen=True)
class Group:
    """The sentences about one thing: those in the note, and those that may be taken."""

    about: str
    heading: str
    taken: tuple[SentenceShown, ...]
    offered: tuple[Made, ...]


@dataclass(frozen=True)
class Card:
    """One area, or the visit as a whole."""

    place: Place
    typed: Typed
    version: int
    choices: Choices
    groups: tuple[Group, ...]
    taken_out: tuple[Sentence, ...]
    said: Written
    offered: int
    draft_key: str
    draft: Draft | None
    clashes: Clashes

    @property
    def is_whole(self) -> bool:
        return not self.place.number


@dataclass(frozen=True)
class Loose:
    """What was written about an area that is gone, or that is part of area `fell_to` (0 for none) now."""

    row: Conclusion
    told: AreaConclusion
    fell_to: int


@dataclass(frozen=True)
class LeftOver:
    """What was typed and not saved, and has no form any more: its area is gone, or the visit was signed."""

    draft: Draft
    where: str
    texts: tuple[str, ...]


@dataclass(frozen=True)
class AssessmentPage:
    """`waits`: why sources are not suggested yet, "" when they are."""

    cards: tuple[Card, ...]
    loose: tuple[Loose, ...]
    told: tuple[AreaConclusion, ...]
    certainties: tuple[Certainty, ...]
    names: tuple[str, ...]
    waits: str
    may_write: bool
    left_over: tuple[LeftOver, ...]
    wrong: Typed | None


@dataclass(frozen=True)
class Read:
    """Everything that the page, and a save, is made from; read once."""

    visit: Visit
    found: Ranked
    places: tuple[Place, ...]
    placed: Placed
    written: Mapping[int, Written]
    record: Record

    def number_of(self, stroke: str) -> int | None:
        """The number of the area that holds a stroke, 0 for "", None where none does."""
        if not stroke:
            return 0
        return next((place.number for place in self.places if stroke in place.strokes), None)

    def before(self, stroke: str) -> Written:
        """What is written about that area; where it is gone, what was written about it before."""
        number = self.number_of(stroke)
        if number is not None:
            return self.written.get(number, Written())
        return written_in(next((row for row, _ in self.placed.loose if stroke in row.strokes), None))

    def assembled(self, number: int, said: Written) -> Assembled:
        """The sentences of one area, with `said` written about it."""
        return assemble(self.record, self.places, {**self.written, number: said})[number]


def read_visit(visit: Visit) -> Read:
    found, rows = ranked(visit), rows_of(visit)
    places, placed = places_of(found), place(rows, found.areas)
    written = {number: written_in(row) for number, row in placed.by_number.items()}
    record = record_of(visit, found, drawn_in(places))
    return Read(visit, found, places, placed, written, record)


def assessment_page(
    known: Read, user: User, *, sent: Typed | None = None, clashes: Clashes = ()
) -> AssessmentPage:
    """`sent`: what was posted about one area and could not be kept; it is shown as it was typed."""
    visit, writes = known.visit, may_write(user, known.visit)
    drafts = drafts_under(user, services.drafts_of_visit(visit))
    made = assemble(known.record, known.places, known.written)
    cards = (_card(place, made[place.number], known, drafts, sent, clashes) for place in known.places)
    return AssessmentPage(
        cards=tuple(cards) if writes else (),
        loose=tuple(_loose(row, fell_to) for row, fell_to in known.placed.loose),
        told=concluded([*known.placed.by_number.values()], known.found.areas),
        certainties=certainty.load().words,
        names=offered_names(known.found.atlas) if writes else (),
        waits=_waits(known.found),
        may_write=writes,
        left_over=tuple(_left_over(known, drafts, writes)),
        wrong=sent if sent and sent.problems else None,
    )


def clashes_of(said: Written, sent: Written) -> Clashes:
    """Where what is on record now differs from what was sent; `sent` is what would have been kept."""
    keys = dict.fromkeys(each.key for each in (*said.sentences, *sent.sentences))
    texts = ((HEADINGS[_about(key, said, sent)], _text(said, key), _text(sent, key)) for key in keys)
    bys = dict.fromkeys(each.by for each in (*said.sources, *sent.sources))
    sources = ((_name(by, said, sent), _certain(said, by), _certain(sent, by)) for by in bys)
    return tuple(each for each in (*sources, *texts) if each[1] != each[2])


def _card(
    place: Place,
    made: Assembled,
    known: Read,
    drafts: Mapping[str, Draft],
    sent: Typed | None,
    clashes: Clashes,
) -> Card:
    key = services.draft_key(known.visit, place.first)
    mine = sent if sent and known.number_of(sent.stroke) == place.number else None
    draft = drafts.get(key) if not mine else None
    typed = mine or (read(as_form_data(draft)) if draft else Typed())
    said = known.written.get(place.number, Written())
    row = known.placed.by_number.get(place.number)
    shown = apply(said, Asked(texts=_filled(typed, said)), made.by_key)
    certain = {**{one.by: one.certainty for one in said.sources}, **typed.certainty}
    return Card(
        place=place,
        typed=typed,
        version=row.version if row else 0,
        choices=choices_of(place, said, made.offered, known.record, known.found, certain),
        groups=tuple(_groups(shown, made, typed)),
        taken_out=tuple(each for each in shown.sentences if each.out),
        said=said,
        offered=len(made.offered),
        draft_key=key,
        draft=draft,
        clashes=clashes if mine else (),
    )


def _filled(typed: Typed, said: Written) -> dict[str, str]:
    """What stands in the text fields; an emptied one shows what is on record until it is saved."""
    return {key: text for key, text in typed.texts.items() if text}


def _groups(shown: Written, made: Assembled, typed: Typed) -> list[Group]:
    groups = []
    for about in ABOUT:
        taken = tuple(_shown(each, made, typed) for each in shown.taken if each.about == about)
        offered = tuple(each for each in made.offered if each.about == about)
        if taken or offered or about == OWN:
            groups.append(Group(about, HEADINGS[about], taken, offered))
    return groups


def _shown(each: Sentence, made: Assembled, typed: Typed) -> SentenceShown:
    now = made.by_key.get(each.key)
    differs = now is not None and now.text not in (each.made_from, each.text)
    return SentenceShown(
        key=each.key,
        text=each.text,
        now=now.text if now and differs else "",
        gone=now is None and not each.is_own,
        error=typed.problem_of(f"{TEXT}{each.key}"),
    )


def _left_over(known: Read, drafts: Mapping[str, Draft], writes: bool) -> Iterator[LeftOver]:
    forms = {services.draft_key(known.visit, place.first) for place in known.places} if writes else set()
    for draft in (draft for key, draft in drafts.items() if key not in forms):
        typed = read(as_form_data(draft))
        texts = [text for text in (*typed.texts.values(), typed.own) if text]
        if texts:
            yield LeftOver(draft, typed.where, tuple(texts))


def _loose(row: Conclusion, fell_to: int) -> Loose:
    told = concluded([_without_area(row)], ())
    return Loose(row, told[0] if told else AreaConclusion(0, row.where, (), (), is_gone=True), fell_to)


def _without_area(row: Conclusion) -> Conclusion:
    return Conclusion(
        visit_id=row.visit_id, strokes=["-"], where=row.where, sources=row.sources, sentences=row.sentences
    )


def _waits(found: Ranked) -> str:
    if found.ranking is None:
        return "Sources are suggested here once the danger screen is answered."
    if found.flags.holds_back:
        return "Muscles are suggested here once the signs of danger are decided about."
    return ""


def _about(key: str, *held: Written) -> str:
    return next(each.about for said in held if (each := said.sentence(key)))


def _text(said: Written, key: str) -> str:
    each = said.sentence(key)
    return "" if each is None or each.out else each.text


def _name(by: By, *held: Written) -> str:
    source = next(each for said in held if (each := said.source(by)))
    return ", ".join(part for part in (source.name, source.side.replace("midline", "")) if part)


def _certain(said: Written, by: By) -> str:
    source = said.source(by)
    return certainty.load().words_for(source.certainty) if source else ""
