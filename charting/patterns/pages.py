"""What the pages of own patterns may use."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.urls import reverse

from bodymaps import atlas, describe, kinds, own, svg, words
from bodymaps.geometry import Area
from bodymaps.marks import Mark
from bodymaps.patterns import ZONES, Place, known_muscles
from charting.drawing import device, picture
from charting.drawing.pages import of_any_board
from charting.drawing.picture import ViewPicture
from charting.patterns import queries
from charting.patterns.models import (
    PatternDrawing,
    PatternFile,
    PatternStroke,
    PatternVersion,
    PatternWithdrawal,
)
from charting.patterns.plans import Plan
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.rights import may

# The words of the board where they are not those of a drawing of pain, by the hint they stand for.
BOARD_WORDS = {
    "choose": "First choose core or spillover.",
    "spot": "The point is marked. Touch another place to move it there.",
    "spot-marked": "Where the point lies is marked.",
}
DIAMOND_MM = 13.0


@dataclass(frozen=True)
class Layer:
    """The zones over one view, spillover first, and the point as a path or ""."""

    figure: ViewPicture
    zones: tuple[tuple[str, str], ...]
    point: str


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
    """One pattern with its history; `atlas_layers` is what the atlas itself says, () for a new name."""

    line: Line
    row: uuid.UUID
    site: str
    reason: str
    status: str
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


def pattern_page(user: User, pattern: str) -> PatternPage:
    """Raises Http404 for a pattern that the practice does not have."""
    rows = queries.versions_of(user, pattern)
    latest = rows[0]
    one = queries.as_own(latest)
    muscle = atlas.load().muscles.get(pattern)
    return PatternPage(
        line=_line(latest),
        row=latest.pk,
        site=latest.site,
        reason=latest.reason,
        status=latest.status,
        sentences=sentences_of(one.zones),
        versions=tuple(_version(row, before) for row, before in zip(rows, (*rows[1:], None), strict=True)),
        atlas_layers=layers_of(queries.united(muscle)) if muscle else (),
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


def sentences_of(zones: Mapping[tuple[str, str], Area]) -> tuple[str, ...]:
    """ "Core: right outer upper arm (40 cm²)." for each zone."""
    drawn = [Mark(view, zone, area) for (view, zone), area in zones.items()]
    return describe.drawing(drawn, shown=kinds.zones())


def layers_of(zones: Mapping[tuple[str, str], Area], at: Place | None = None) -> tuple[Layer, ...]:
    """Both views of the figure with the zones on top, cut below the hands where nothing lies further down."""
    box = picture.box_for(zones.values())
    return tuple(
        Layer(
            figure=replace(view, words=_words(view, zones)),
            zones=tuple(
                (zone, svg.path(zones[view.view, zone]))
                for zone in reversed(ZONES)
                if (view.view, zone) in zones
            ),
            point=_diamond(at) if at and at.view == view.view else "",
        )
        for view in picture.views_of((), box=box)
    )


def _words(view: ViewPicture, zones: Mapping[tuple[str, str], Area]) -> str:
    said = sentences_of({key: area for key, area in zones.items() if key[0] == view.view})
    return f"{view.title} of the body. {' '.join(said) or 'Nothing of the pattern lies on it.'}"


def _diamond(at: Place) -> str:
    x, y, reach = at.x, at.y, DIAMOND_MM
    corners = ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y))
    return "M" + "L".join(f"{cx:.1f} {cy:.1f}" for cx, cy in corners) + "Z"


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
        reason=row.reason,
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


# The board.


def board_data(drawing: PatternDrawing, user: User, *, csrf: str) -> dict[str, Any]:
    """What the script of the board needs, as charting.drawing.pages.board_data gives it for a visit."""
    strokes, withdrawals = queries.rows_of(drawing)
    zones = kinds.as_json(kinds.zones())
    urls = {
        name: reverse(f"patterns:{name}", args=[drawing.pk]) for name in ("board", "save", "words", "key")
    }
    return {
        **of_any_board(),
        "kinds": zones,
        "all_kinds": zones,
        "strokes": [_stroke(row) for row in strokes],
        "withdrawals": [_withdrawal(row) for row in withdrawals],
        "answer": {"intensities": {}, "no_pain": False},
        "next_seq": max((row.seq for row in (*strokes, *withdrawals)), default=0) + 1,
        "urls": {**urls, "done": reverse("patterns:finish", args=[drawing.pk])},
        "device": device_of(drawing, user),
        "csrf": csrf,
        "who": "staff",
        # Whose layer it is, as the script tells them apart: the clinician's says nothing about pain.
        "layer": "clinician",
        "words": BOARD_WORDS,
        "title": "Core and spillover",
        "asks": "What do you draw?",
        "spot": "Where the point lies",
        "heading": f"{words.sentence_case(drawing.name)}, right side. The left is its mirror.",
    }


def device_of(drawing: PatternDrawing, user: User) -> dict[str, str]:
    """What the page needs to keep unacknowledged entries on the device: see charting.drawing.device."""
    holder = device.holder_of_staff(user.pk, drawing.pk, "pattern", None)
    return {
        "holder": str(holder),
        "key": device.key_of(holder),
        "key_url": reverse("patterns:key", args=[drawing.pk]),
        "save_url": reverse("patterns:save", args=[drawing.pk]),
    }


def _stroke(row: PatternStroke) -> dict[str, Any]:
    return {
        "id": str(row.event_id),
        "seq": row.seq,
        "view": row.view,
        "kind": row.kind or None,
        "mode": row.mode,
        "nib_mm": row.nib_mm,
        "points": row.points,
        "region": row.region,
        "layer": "clinician",
        "own": True,
    }


def _withdrawal(row: PatternWithdrawal) -> dict[str, Any]:
    return {
        "id": str(row.event_id),
        "seq": row.seq,
        "strokes": row.strokes,
        "restores": row.restores,
        "own": True,
    }
