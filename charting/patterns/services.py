"""Everything that writes a pattern: begin, keep what the board sends, keep a version, bring a file."""

import hashlib
import json
import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.db.models import Model

from bodymaps import own, own_file, strokes
from bodymaps.own import OwnPattern
from bodymaps.patterns import ZONES, AtlasError, Source
from charting.audit.services import Actor, record
from charting.drafts.services import forget
from charting.drawing import events
from charting.drawing.models import BoardEvent, StoredStroke, Withdrawal
from charting.drawing.services import Outcome
from charting.patterns import queries
from charting.patterns.models import (
    PatternDrawing,
    PatternStroke,
    PatternVersion,
    PatternWithdrawal,
)
from charting.staff.models import Practice, User
from charting.staff.rights import may, require

RIGHT = "write patterns"
# What the board sends, and the table it is kept in here.
ROWS: dict[type[BoardEvent], type[PatternStroke] | type[PatternWithdrawal]] = {
    StoredStroke: PatternStroke,
    Withdrawal: PatternWithdrawal,
}


class NotKept(Exception):
    """Nothing was kept; the text tells why."""


def draft_key(drawing: PatternDrawing) -> str:
    return f"pattern:{drawing.pk}"


@transaction.atomic
def begin(
    *,
    who: User,
    id: uuid.UUID,  # noqa: A002 - the column
    pattern: str,
    name: str,
    as_it_stands: bool,
) -> PatternDrawing:
    """A drawing for one pattern, with what stands now on it or empty. The same `id` again is the one made
    before. Raises PermissionDenied.
    """
    require(who, RIGHT)
    told = {"practice": who.practice, "pattern": pattern, "name": name, "begun_by": who}
    drawing, made = PatternDrawing.objects.get_or_create(id=id, defaults=told)
    if drawing.practice_id != who.practice_id:
        raise PermissionDenied("Open the list of patterns once more.")
    if made:
        copied = list(_as_it_stands(drawing)) if as_it_stands else []
        for seq, columns in enumerate(copied, 1):
            PatternStroke.objects.create(
                drawing=drawing, event_id=uuid.uuid4(), seq=seq, drawn_by=who, body_sha256="", **columns
            )
        record(who=who, did="began pattern", what=drawing, pattern=pattern, strokes=len(copied))
    return drawing


def _as_it_stands(drawing: PatternDrawing) -> Iterator[dict[str, Any]]:
    """The strokes that a pattern was drawn with; for one without, a line round each of its patches."""
    latest = queries.latest_version(drawing.practice, drawing.pattern)
    if latest and latest.drawing:
        for row in queries.standing(latest.drawing):
            names = ("view", "kind", "mode", "nib_mm", "points", "region")
            yield {name: getattr(row, name) for name in names}
        return
    zones = queries.zones_now(drawing.practice, drawing.pattern)
    for view, zone, line in own.as_lines(zones):
        points = [[x, y, 0.5, 0.0] for x, y in line]
        yield {"view": view, "kind": zone, "mode": "area", "nib_mm": own.LINE_MM, "points": points}


@transaction.atomic
def save_events(*, who: User, drawing: PatternDrawing, sent: Iterable[Mapping[str, Any]]) -> Outcome:
    """Keep the board's events. Each is kept or refused by itself; a resend is harmless."""
    require(who, RIGHT)
    # One writer at a time for each drawing, so that its limits hold.
    locked = PatternDrawing.objects.select_for_update().get(pk=drawing.pk)
    saved: list[str] = []
    refused: list[tuple[str, str]] = []
    size = queries.size_of(locked)
    for body in sent:
        try:
            size = _keep_event(who, locked, body, size)
            saved.append(str(body["id"]))
        except events.Refused as problem:
            said = body.get("id", "") if isinstance(body, Mapping) else ""
            refused.append((str(said), str(problem)))
    if saved:
        record(who=who, did="drew pattern", what=locked, events=len(saved))
    return Outcome(tuple(saved), tuple(refused))


def _keep_event(
    who: User, drawing: PatternDrawing, body: Mapping[str, Any], size: tuple[int, int]
) -> tuple[int, int]:
    """How many strokes and points there are afterwards. Raises Refused."""
    event = events.parse(body, ZONES)
    table = ROWS.get(event.table)
    if table is None:
        raise events.Refused("a pattern is drawn; nothing is asked about it")
    sha256 = hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()
    known = queries.hash_of_event(drawing, event.event_id)
    if known is not None:
        if known != sha256:
            raise events.Refused("this entry was saved before with another content")
        return size
    if queries.version_kept_of(drawing):
        raise events.Refused("this drawing was kept as a version and can't change any more")
    if table is PatternStroke:
        size = (size[0] + 1, size[1] + len(event.columns["points"]))
        try:
            strokes.check_room(*size)
        except strokes.StrokeError as problem:
            raise events.Refused(str(problem)) from problem
    table.objects.create(
        drawing=drawing,
        event_id=event.event_id,
        seq=event.seq,
        drawn_by=who,
        body_sha256=sha256,
        **event.columns,
    )
    return size


@transaction.atomic
def keep(
    *,
    who: User,
    drawing: PatternDrawing,
    after: int,
    site: str,
    work: str,
    chapter: str,
    status: str,
    reason: str,
) -> PatternVersion:
    """Keep a drawing as the next version of its pattern, in use from now on. `after`: the number of the
    version that the writer saw last. A second tap gives the version made by the first.

    Raises PermissionDenied; NotKept when somebody kept another meanwhile, or the drawing is no pattern.
    """
    require(who, RIGHT)
    lock(drawing.practice)
    made_before = queries.version_kept_of(drawing)
    if made_before:
        return made_before
    newest = queries.newest_number(drawing.practice, drawing.pattern)
    if newest != after:
        raise NotKept(
            f"Somebody kept version {newest} of this pattern meanwhile. Look at it; yours will be the next."
        )
    now = queries.drawn(drawing)
    one = OwnPattern(
        id=drawing.pattern,
        name=drawing.name,
        version=newest + 1,
        site=site.strip(),
        source=Source(work.strip(), chapter.strip(), status),
        reason=reason.strip(),
        zones=now.zones,
        at=now.at,
    )
    try:
        own.check(one, "this drawing")
    except AtlasError as problem:
        raise NotKept(f"This can't be kept as a pattern: {problem.entry} {problem.reason}.") from problem
    row = write_version(who, drawing.practice, one, drawing=drawing)
    forget(who=who, key=draft_key(drawing))
    record(who=who, did="kept pattern", what=row, pattern=row.pattern, number=row.number)
    return row


@transaction.atomic
def set_use(*, who: User, row: PatternVersion, in_use: bool, reason: str) -> PatternVersion:
    """Take a pattern out of use or bring it back, by a further version that says why. `row` is the version
    that the writer saw last. Raises PermissionDenied, NotKept.
    """
    require(who, RIGHT)
    lock(row.practice)
    newest = PatternVersion.objects.filter(practice=row.practice, pattern=row.pattern).order_by("-number")[0]
    if newest.pk != row.pk:
        raise NotKept(f"Somebody wrote version {newest.number} meanwhile. Look at it first.")
    if newest.in_use == in_use:
        return newest
    one = replace(queries.as_own(row), version=row.number + 1)
    made = write_version(who, row.practice, one, in_use=in_use, use_reason=reason.strip())
    did = "brought pattern back" if in_use else "took pattern out of use"
    record(who=who, did=did, what=made, pattern=made.pattern, number=made.number)
    return made


@transaction.atomic
def grant(*, who: User, user: User, writes: bool) -> None:
    """Give a clinician of the practice the right to write patterns, or take it back.

    Raises PermissionDenied.
    """
    require(who, "grant rights")
    if user.practice_id != who.practice_id:
        raise PermissionDenied("Only a clinician of this practice can have this right.")
    _set_right(who, user, writes)


@transaction.atomic
def set_right(*, who: Actor, user: User, writes: bool) -> None:
    """The same for somebody at the command line, who has the rights of the machine."""
    _set_right(who, user, writes)


def _set_right(who: Actor, user: User, writes: bool) -> None:
    if not may(user, "treat"):
        raise PermissionDenied("Only a clinician of a practice can have this right.")
    if user.writes_patterns != writes:
        User.objects.filter(pk=user.pk).update(writes_patterns=writes)
        user.writes_patterns = writes
        record(who=who, did="granted right" if writes else "took right back", what=user, right=RIGHT)


def lock(practice: Practice) -> None:
    """One writer of versions at a time in a practice."""
    Practice.objects.select_for_update().get(pk=practice.pk)


def write_version(
    who: Actor,
    practice: Practice,
    one: OwnPattern,
    *,
    in_use: bool = True,
    use_reason: str = "",
    **origin: Model,
) -> PatternVersion:
    row = PatternVersion(
        practice=practice,
        pattern=one.id,
        number=one.version,
        in_use=in_use,
        name=one.name,
        site=one.site,
        work=one.source.work,
        chapter=one.source.chapter,
        status=one.source.status,
        reason=one.reason,
        use_reason=use_reason,
        zones=own_file.zones_json(one.zones),
        at=own_file.place_json(one.at),
        written_by=who if isinstance(who, User) else None,
        writer=who.audit_name,
        **origin,
    )
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError as problem:
        raise NotKept("Somebody else wrote this pattern just now. Look at it, then try again.") from problem
    return row
