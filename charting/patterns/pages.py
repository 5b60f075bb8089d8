"""What the pages of own patterns may use."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from bodymaps import atlas, own
from bodymaps.patterns import known_muscles
from charting.patterns import queries
from charting.patterns.models import (
    PatternDrawing,
    PatternFile,
    PatternVersion,
)
from charting.patterns.pictures import Layer, layers_of, sentences_of
from charting.patterns.plans import Plan
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.rights import may


@dataclass(frozen=True)
class Line:
    """One pattern of the practice: what its latest version says."""

    pattern: str
    name: str
    number: int
    in_use: bool
    replaces: bool
    source: str
    writer: str
    written_at: datetime
    layers: tuple[Layer, ...]


@dataclass(frozen=True)
class OpenDrawing:
    id: uuid.UUID
    name: str
    begun_by: str
    begun_at: datetime


@dataclass(frozen=True)
class ListPage:
    in_use: tuple[Line, ...]
    out_of_use: tuple[Line, ...]
    unfinished: tuple[OpenDrawing, ...]
    may_write: bool
    may_grant: bool
    writers: tuple[str, ...]


@dataclass(frozen=True)
class VersionLine:
    """One version in the history of a pattern."""

    number: int
    in_use: bool
    what: str
    reason: str
    source: str
    site: str
    writer: str
    written_at: datetime


@dataclass(frozen=True)
class PatternPage:
    """One version of a pattern, and its history; `atlas_layers` is what the atlas says, () for a new name.

    `row` and `newest` are the id and number of the latest version, the one that counts.
    """

    line: Line
    row: uuid.UUID
    newest: int
    in_use: bool
    use_reason: str
    has_point: bool
    site: str
    reason: str
    sentences: tuple[str, ...]
    versions: tuple[VersionLine, ...]
    atlas_layers: tuple[Layer, ...]
    may_write: bool


@dataclass(frozen=True)
class FinishPage:
    """A drawing before it is kept: how it looks, and what it replaces."""

    id: uuid.UUID
    name: str
    number: int
    is_empty: bool
    has_point: bool
    is_left: bool
    sentences: tuple[str, ...]
    layers: tuple[Layer, ...]
    before: tuple[Layer, ...]


@dataclass(frozen=True)
class StepLine:
    """One entry of a file and what would become of it."""

    name: str
    id: str
    words: str
    is_written: bool
    source: str
    layers: tuple[Layer, ...]


@dataclass(frozen=True)
class ImportPage:
    file: str
    steps: tuple[StepLine, ...]
    refused: tuple[tuple[str, str], ...]
    count: int
    key: str


@dataclass(frozen=True)
class Writer:
    id: int
    name: str
    title: str
    writes: bool


def list_page(user: User) -> ListPage:
    rows = queries.latest_of(user.practice)
    lines = tuple(_line(row) for row in rows)
    writes = may(user, "write patterns")
    return ListPage(
        in_use=tuple(line for line in lines if line.in_use),
        out_of_use=tuple(line for line in lines if not line.in_use),
        unfinished=tuple(_open(row) for row in queries.unfinished(user)) if writes else (),
        may_write=writes,
        may_grant=may(user, "grant rights"),
        writers=tuple(writer.name for writer in writers(user) if writer.writes),
    )


def writers(user: User) -> tuple[Writer, ...]:
    """The clinicians of the practice, and who of them writes patterns."""
    return tuple(Writer(one.pk, str(one), one.title, one.writes_patterns) for one in clinicians_beside(user))


def pattern_page(user: User, pattern: str, number: int = 0) -> PatternPage:
    """The version of this number, the latest for a number that there is not. Raises Http404 for a pattern
    that the practice does not have.
    """
    rows = queries.versions_of(user, pattern)
    latest = rows[0]
    shown = next((row for row in rows if row.number == number), latest)
    one = queries.as_own(shown)
    muscle = atlas.load().muscles.get(pattern)
    return PatternPage(
        line=_line(shown),
        row=latest.pk,
        newest=latest.number,
        in_use=latest.in_use,
        use_reason=latest.use_reason,
        has_point=one.at is not None,
        site=shown.site,
        reason=shown.reason,
        sentences=sentences_of(one.zones),
        versions=tuple(_version(row, before) for row, before in zip(rows, (*rows[1:], None), strict=True)),
        atlas_layers=layers_of(muscle.zones_of()) if muscle else (),
        may_write=may(user, "write patterns"),
    )


def finish_page(drawing: PatternDrawing) -> FinishPage:
    now = queries.drawn(drawing)
    before = queries.zones_now(drawing.practice, drawing.pattern)
    return FinishPage(
        id=drawing.pk,
        name=drawing.name,
        number=queries.newest_number(drawing.practice, drawing.pattern) + 1,
        is_empty=not now.zones,
        has_point=now.at is not None,
        is_left=own.share_on_the_left(now.zones, atlas.load().midlines) > 0.5,
        sentences=sentences_of(now.zones),
        layers=layers_of(now.zones, now.at),
        before=layers_of(before) if before else (),
    )


def import_page(file: PatternFile) -> ImportPage:
    plan = Plan.of(file.practice, file.text, file.name)
    return ImportPage(
        file=file.name,
        steps=tuple(
            StepLine(
                name=step.pattern.name,
                id=step.pattern.id,
                words=step.words,
                is_written=step.what != "same",
                source=_source(
                    step.pattern.source.work, step.pattern.source.chapter, step.pattern.source.status
                ),
                layers=layers_of(step.pattern.zones, step.pattern.at),
            )
            for step in plan.steps
        ),
        refused=tuple((problem.entry, problem.reason) for problem in plan.refused),
        count=len(plan.to_write),
        key=plan.key,
    )


def _line(row: PatternVersion) -> Line:
    one = queries.as_own(row)
    return Line(
        pattern=row.pattern,
        name=row.name,
        number=row.number,
        in_use=row.in_use,
        replaces=row.pattern in known_muscles(),
        source=_source(row.work, row.chapter, row.status),
        writer=row.writer,
        written_at=row.written_at,
        layers=layers_of(one.zones, one.at),
    )


def _source(work: str, chapter: str, status: str) -> str:
    return f"{work}, {chapter} ({status})"


def _version(row: PatternVersion, before: PatternVersion | None) -> VersionLine:
    return VersionLine(
        number=row.number,
        in_use=row.in_use,
        what=_what(row, before),
        reason=row.use_reason or row.reason,
        source=_source(row.work, row.chapter, row.status),
        site=row.site,
        writer=row.writer,
        written_at=row.written_at,
    )


def _what(row: PatternVersion, before: PatternVersion | None) -> str:
    if row.file:
        return f"from the file {row.file.name}"
    if row.drawing:
        return "drawn"
    return "brought back into use" if row.in_use else "taken out of use"


def _open(row: PatternDrawing) -> OpenDrawing:
    return OpenDrawing(row.pk, row.name, str(row.begun_by), row.begun_at)
