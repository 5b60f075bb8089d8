"""What the page after drawing may use: each area with its questions, and the parts of the body left free."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from bodymaps import describe, marks, parts
from bodymaps.areas import Piece
from bodymaps.marks import Mark
from charting.drawing import areas, badges, picture, queries, symptoms
from charting.drawing.areas import Told, ToldArea
from charting.drawing.badges import Badge
from charting.drawing.models import DrawnBy
from charting.drawing.picture import KindPicture, ViewPicture
from charting.drawing.queries import Drawing
from charting.drawing.sittings import Sitting
from charting.drawing.symptoms import Question
from charting.visits.models import Visit

# What a small figure shows round an area at least, so that its place on the body is plain (mm).
CROP, MARGIN = (400.0, 500.0), 80.0
LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True)
class Scale:
    """One question with an answer from 0 to 10; `chosen` is None where it was not answered."""

    name: str
    label: str
    chosen: int | None
    kind: KindPicture | None = None


@dataclass(frozen=True)
class Chosen:
    """One question with its choices and the answer, "" where there is none."""

    question: Question
    chosen: str


@dataclass(frozen=True)
class PieceLine:
    """What an area can be split into: a letter that stands on its figure too, kind and place in words."""

    letter: str
    strokes: str
    words: str
    kind: KindPicture


@dataclass(frozen=True)
class Figure:
    """A small figure of one area on one view, with the letters of its pieces."""

    view: ViewPicture
    letters: tuple[tuple[str, Badge], ...]


@dataclass(frozen=True)
class Card:
    """One area as it is asked about. `strokes` is JSON for the script; `linked` the number of another area
    or 0.
    """

    number: int
    strokes: str
    where: str
    size: str
    figures: tuple[Figure, ...]
    now: tuple[Scale, ...]
    range: tuple[Scale, ...]
    course: Chosen
    depth: Chosen
    link: Chosen
    linked: int
    since: str
    contradicts: bool
    pieces: tuple[PieceLine, ...]


@dataclass(frozen=True)
class Tick:
    """One part of the body on one side: to be ticked for "nothing here". `side` is "" on the midline."""

    key: str
    label: str
    side: str
    is_cleared: bool


@dataclass(frozen=True)
class PartRow:
    """A part with a tick for each side on which nothing is drawn."""

    label: str
    ticks: tuple[Tick, ...]


@dataclass(frozen=True)
class AreasPage:
    """`yours`: the patient reads it, and it says "you". `data` is what the script needs, as plain JSON."""

    heading: str
    place: str
    leads_to: str
    yours: bool
    views: tuple[ViewPicture, ...]
    key: tuple[KindPicture, ...]
    has_spot: bool
    cards: tuple[Card, ...]
    parts: tuple[PartRow, ...]
    strengths: tuple[int, ...]
    since: str
    since_characters: int
    no_pain: bool
    urls: dict[str, str]
    data: dict[str, Any]


def areas_page(visit: Visit, sitting: Sitting, *, csrf: str) -> AreasPage:
    kept = queries.kept_of(visit)
    drawing = queries.drawing_in(kept)
    told = areas.told(drawing)
    asked = symptoms.load()
    return AreasPage(
        heading=f"{visit.patient.name}, born {visit.patient.birth_date:%-d %B %Y}",
        place=sitting.place_after,
        leads_to=sitting.leads_to,
        yours=sitting.by_patient and sitting.layer == DrawnBy.PATIENT,
        views=picture.views_of(marks.symptoms(told.marks), areas=told.areas, spots=told.spots),
        key=picture.key_of(marks.symptoms(told.marks), {}),
        has_spot=bool(told.spots),
        cards=tuple(_card(area, told, drawing) for area in told.areas),
        parts=_parts(told),
        strengths=tuple(range(asked.least, asked.most + 1)),
        since=asked.since,
        since_characters=asked.since_characters,
        no_pain=drawing.no_pain,
        urls=sitting.urls,
        data={
            "next_seq": kept.last_seq + 1,
            "urls": sitting.urls,
            "device": sitting.device,
            "csrf": csrf,
            "who": "patient" if sitting.by_patient else "staff",
            "layer": str(sitting.layer),
        },
    )


def _card(area: ToldArea, told: Told, drawing: Drawing) -> Card:
    asked, answers = symptoms.load().questions, area.answers
    pieces = _pieces(area, drawing)
    return Card(
        number=area.number,
        strokes=json.dumps(area.strokes),
        where=area.where,
        size=describe.size(area.marks),
        figures=_figures(area, told, pieces),
        now=tuple(_now(kind, answers.now.get(kind.kind)) for kind in picture.key_of(area.marks, {})),
        range=(
            Scale("least", "How strong is it at its least?", answers.least),
            Scale("most", "How strong is it at its most?", answers.most),
        ),
        course=Chosen(asked["course"], answers.course),
        depth=Chosen(asked["depth"], answers.depth),
        link=Chosen(asked["link"], answers.link),
        linked=area.linked or 0,
        since=answers.since,
        contradicts=areas.contradicts(answers),
        pieces=tuple(line for line, _ in pieces),
    )


def _now(kind: KindPicture, chosen: int | None) -> Scale:
    return Scale(f"now-{kind.kind}", kind.label, chosen, kind)


Pieces = tuple[tuple[PieceLine, tuple[Mark, ...]], ...]


def _pieces(area: ToldArea, drawing: Drawing) -> Pieces:
    """The pieces of an area and what each shows; none where there is nothing to split."""
    if not 2 <= len(area.pieces) <= len(LETTERS):
        return ()
    return tuple(_piece(letter, piece, drawing) for letter, piece in zip(LETTERS, area.pieces, strict=False))


def _piece(letter: str, piece: Piece, drawing: Drawing) -> tuple[PieceLine, tuple[Mark, ...]]:
    shown = marks.paint(s for s in drawing.strokes if s.mode == "erase" or s.id in piece.strokes)
    (kind,) = picture.key_of(shown, {})
    words = ", ".join(part for part in (kind.label, piece.view, describe.where(shown)) if part)
    return PieceLine(letter, json.dumps(piece.strokes), words, kind), shown


def _figures(area: ToldArea, told: Told, pieces: Pieces) -> tuple[Figure, ...]:
    """The views on which the area shows, each cut to what is round it."""
    seen = [view for view in picture.TITLES if any(mark.view == view for mark in area.marks)]
    return tuple(_figure(area, told, pieces, view) for view in seen)


def _figure(area: ToldArea, told: Told, pieces: Pieces, view: str) -> Figure:
    here = [mark for mark in area.marks if mark.view == view]
    box = _crop(here)
    views = picture.views_of(here, box=box, areas=(area,), spots=told.spots)
    (shown,) = [each for each in views if each.view == view]
    lettered = [(line.letter, marks_of) for line, marks_of in pieces if marks_of[0].view == view]
    return Figure(shown, badges.letters_on_view(view, lettered))


def _crop(here: Iterable[Mark]) -> str:
    """A box (mm) round the marks, wide and high enough to see where on the body it is, within the frame."""
    bounds = [mark.area.bounds for mark in here]
    left, top = min(b[0] for b in bounds) - MARGIN, min(b[1] for b in bounds) - MARGIN
    right, bottom = max(b[2] for b in bounds) + MARGIN, max(b[3] for b in bounds) + MARGIN
    width, height = CROP
    size = max(1.0, (right - left) / width, (bottom - top) / height)
    return picture.box_round(((left + right) / 2, (top + bottom) / 2), (width * size, height * size))


def _parts(told: Told) -> tuple[PartRow, ...]:
    drawn = set(parts.parts_drawn(told.marks))
    rows: dict[str, list[Tick]] = {}
    for part in parts.load().parts:
        if part.key not in drawn:
            side = "" if part.side == parts.MIDLINE else part.side
            tick = Tick(part.key, part.label, side, part.key in told.cleared)
            rows.setdefault(part.id, []).append(tick)
    return tuple(PartRow(_plain(ticks[0]), tuple(ticks)) for ticks in rows.values())


def _plain(tick: Tick) -> str:
    """The label without its side: "Shoulder" of "Right shoulder", "Sole of foot" of "Sole of right foot"."""
    words = [word for word in tick.label.split() if word.lower() != tick.side]
    text = " ".join(words)
    return text[:1].upper() + text[1:]
