"""A sheet to draw on with a pen, for when there is no device: what is printed on it, as plain values."""

from dataclasses import dataclass
from typing import ClassVar

from bodymaps import kinds, parts
from charting.drawing import picture, symptoms
from charting.drawing.picture import KindPicture, ViewPicture
from charting.drawing.symptoms import Question
from charting.report.papers import day
from charting.staff.models import Practice
from charting.visits.models import Visit


@dataclass(frozen=True)
class BlankKind:
    """A kind of sensation as it can be drawn without colours: its texture, or its word, or two letters."""

    picture: KindPicture
    words: str
    letters: str


@dataclass(frozen=True)
class PartLine:
    """A part of the body to tick "nothing here" for: once, or `has_sides`, right and left apart."""

    label: str
    has_sides: bool


@dataclass(frozen=True)
class BlankSheet:
    """Everything on the sheet. Of the person, "" where it is to be written by hand."""

    # More areas than these are rare, and four have room on one page, two beside each other.
    PAIRS: ClassVar[tuple[tuple[int, int], ...]] = ((1, 2), (3, 4))

    practice: Practice | None
    kinds: tuple[BlankKind, ...]
    views: tuple[ViewPicture, ...]
    parts: tuple[PartLine, ...]
    strengths: tuple[int, ...]
    course: Question
    depth: Question
    link: Question
    since: str
    name: str = ""
    born: str = ""
    record: str = ""
    day: str = ""


def blank_sheet(practice: Practice | None, visit: Visit | None = None) -> BlankSheet:
    """The sheet of a practice; with a visit, name, birth date, record number and day are filled in."""
    asked = symptoms.load()
    return BlankSheet(
        practice=practice,
        kinds=_kinds(),
        views=picture.views_of(()),
        parts=_parts(),
        strengths=tuple(range(asked.least, asked.most + 1)),
        course=asked.questions["course"],
        depth=asked.questions["depth"],
        link=asked.questions["link"],
        since=asked.since,
        **(_person(visit) if visit else {}),
    )


def _person(visit: Visit) -> dict[str, str]:
    patient = visit.patient
    held_on = visit.started_at.astimezone(patient.practice.zone)
    return {
        "name": patient.name,
        "born": day(patient.birth_date),
        "record": str(patient.record_number),
        "day": day(held_on),
    }


def _kinds() -> tuple[BlankKind, ...]:
    shown = picture.key_of((), dict.fromkeys(kinds.IDS, 0))
    return tuple(BlankKind(each, kinds.kind(each.kind).patient_words, each.label[:2]) for each in shown)


def _parts() -> tuple[PartLine, ...]:
    """Each part once, in the order of the body, without its side."""
    found = {part.id: _line(part) for part in parts.load().parts}
    return tuple(found.values())


def _line(part: parts.Part) -> PartLine:
    if part.side == parts.MIDLINE:
        return PartLine(part.label, has_sides=False)
    words = [word for word in part.label.split() if word.lower() != part.side]
    return PartLine(" ".join(words).capitalize(), has_sides=True)
