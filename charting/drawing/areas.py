"""The numbered symptom areas of a drawing with what was said about each, worst spots, free parts."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from bodymaps import areas, describe, kinds, marks, parts
from bodymaps.areas import Piece
from bodymaps.marks import Mark, Spot
from charting.drawing import symptoms
from charting.drawing.queries import Drawing, Said
from charting.drawing.symptoms import Answers


@dataclass(frozen=True)
class ToldArea:
    """One area: its strokes in the order of drawing, painted as in the whole drawing, and what was said.

    `answers.now` holds the kinds that are drawn in the area only. `linked` is the number of the area that
    `answers.link` speaks of, None when it names none that stands.
    """

    number: int
    strokes: tuple[str, ...]
    marks: tuple[Mark, ...]
    pieces: tuple[Piece, ...]
    answers: Answers
    linked: int | None = None

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds that are drawn in it, in their fixed order."""
        drawn = {mark.kind for mark in self.marks}
        return tuple(kind for kind in kinds.IDS if kind in drawn)

    @property
    def words(self) -> str:
        """ "Area 1, left neck-shoulder angle: ache 6 of 10; 38 cm²." """
        return describe.area(self.number, self.marks, self.answers.now)

    @property
    def where(self) -> str:
        return describe.where(self.marks)


@dataclass(frozen=True)
class Told:
    """A whole drawing read once: everything painted, area by area, and what was said beside it.

    `strengths` are the strongest of each kind over the areas (0-10); for a kind about which no area tells,
    what an older board asked for the whole drawing. `cleared` are keys of parts, less those drawn on.
    """

    marks: tuple[Mark, ...]
    areas: tuple[ToldArea, ...]
    spots: tuple[Spot, ...]
    strengths: dict[str, int]
    cleared: tuple[str, ...]

    @property
    def findings(self) -> tuple[Mark, ...]:
        return marks.findings(self.marks)


def told(drawing: Drawing) -> Told:
    """Paint and group a drawing once. About 0.15 s for 60 long strokes, some tens of ms for most drawings."""
    laid = marks.lay(drawing.strokes)
    painted = marks.paint_laid(laid, marks.body_outlines())
    found = _answered(areas.group_laid(laid, drawing.decisions), drawing.said)
    return Told(
        marks=painted,
        areas=found,
        spots=marks.spots(drawing.strokes),
        strengths={**drawing.intensities, **_strongest(found)},
        cleared=parts.still_clear(drawing.cleared, painted),
    )


def _answered(found: Sequence[areas.SymptomArea], said: Sequence[Said]) -> tuple[ToldArea, ...]:
    holder = {stroke: area.number for area in found for stroke in area.strokes}
    about: dict[int, list[Said]] = {area.number: [] for area in found}
    for each in said:
        number = first_held(each.strokes, holder)
        if number is not None:
            about[number].append(each)
    return tuple(_told(area, about[area.number], holder) for area in found)


def first_held(strokes: Iterable[str], holder: Mapping[str, int]) -> int | None:
    """The number of the area that holds the first of the strokes that still stands; None when none does."""
    return next((holder[stroke] for stroke in strokes if stroke in holder), None)


def _told(area: areas.SymptomArea, said: Sequence[Said], holder: Mapping[str, int]) -> ToldArea:
    latest = said[-1].answers if said else Answers()
    drawn = {mark.kind for mark in area.marks}
    now = {kind: value for kind, value in _now(said).items() if kind in drawn}
    linked = first_held(latest.link_to, holder)
    if linked == area.number:
        # The other area has become part of this one.
        latest, linked = replace(latest, link=""), None
    return ToldArea(
        number=area.number,
        strokes=area.strokes,
        marks=area.marks,
        pieces=area.pieces,
        answers=replace(latest, now=now),
        linked=linked,
    )


def _now(said: Sequence[Said]) -> dict[str, int]:
    """How strong each kind is: the last set counts. Where areas that were answered apart became one, each set
    about other strokes still tells about the kinds that no later one names.
    """
    now: dict[str, int] = {}
    known: set[str] = set()
    for each in reversed(said):
        if known.isdisjoint(each.strokes):
            now = {**each.answers.now, **now}
            known.update(each.strokes)
    return now


def _strongest(found: Iterable[ToldArea]) -> dict[str, int]:
    strongest: dict[str, int] = {}
    for area in found:
        for kind, value in area.answers.now.items():
            strongest[kind] = max(value, strongest.get(kind, 0))
    return strongest


def facts(area: ToldArea, of: int) -> tuple[str, ...]:
    """What was said about an area beside how strong it is now, as the chart reads it; `of` areas in all.

    ("at its least 2, at its most 8", "comes and goes", "deep", "since when: 6 weeks", "starts after area 1")
    """
    answers, asked = area.answers, symptoms.load().questions
    found = (
        _range(answers),
        asked["course"].record_of(answers.course),
        asked["depth"].record_of(answers.depth),
        f"since when: {answers.since}" if answers.since else "",
        _link(area, asked["link"].record_of(answers.link), of),
    )
    return tuple(fact for fact in found if fact)


def _range(answers: Answers) -> str:
    ends = (("at its least", answers.least), ("at its most", answers.most))
    return ", ".join(f"{words} {value} of 10" for words, value in ends if value is not None)


def _link(area: ToldArea, record: str, of: int) -> str:
    if not record or of < 2:
        return ""
    if area.linked is not None:
        return f"{record} area {area.linked}"
    return f"{record} {'the other area' if of == 2 else 'the other areas'}"


def contradicts(answers: Answers) -> bool:
    """Whether least, now and most do not go up in this order. Nothing is refused for it."""
    now = max(answers.now.values(), default=None)
    up = [value for value in (answers.least, now, answers.most) if value is not None]
    return up != sorted(up)
