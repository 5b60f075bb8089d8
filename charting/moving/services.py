"""A drawing leaves the chart it does not belong to. Nothing is deleted: rows are struck, and copied."""

import uuid
from collections.abc import Collection
from typing import Any

from django.db import transaction

from bodymaps import strokes
from charting.audit.services import record
from charting.drawing import strikes
from charting.drawing.models import TABLES, AreaAnswer, BoardEvent, EnteredInError, PaperSheet
from charting.drawing.queries import kept_of, size_of_drawing
from charting.handover.services import end_all
from charting.moving.queries import Moving, ids_in, what_moves, what_was_struck
from charting.staff.models import User
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.queries import visits_of
from charting.visits.services import require_open

LONGEST_REASON = EnteredInError._meta.get_field("reason").max_length or 0


class NotMoved(Exception):
    """Nothing was changed; the text tells the clinician why."""


@transaction.atomic
def move_drawing(
    *,
    who: User,
    visit: Visit,
    to: Visit | None,
    reason: str,
    only: EnteredInError | None = None,
    layers: Collection[str] | None = None,
) -> EnteredInError:
    """Strike the drawing of `visit` as entered in error, and copy it to the open visit `to` if there is one.

    Every row stays where it is; copies keep their ids (unless `to` had them before), their order, layers and
    papers. Running hand-overs of `visit` end. `only` takes what that move once brought here, to move it back;
    `layers` what lies on those, by default on all.
    Raises PermissionDenied, VisitSigned (the visit itself is signed) and NotMoved.
    """
    require(who, "treat")
    _lock(who, visit, to)
    moving = what_moves(visit, only, layers)
    _check(moving, visit, to, reason)
    strike = EnteredInError.objects.create(
        visit=visit,
        moved_to=to,
        events=[str(row.event_id) for row in moving.rows],
        reason=reason.strip(),
        struck_by=who,
    )
    # After this no device draws on the wrong chart any more.
    end_all(who=who, visit=visit)
    record(who=who, did="struck drawing", what=visit, events=len(moving.rows), strike=str(strike.pk))
    if to is not None:
        _copy(moving, to, strike)
        record(who=who, did="received drawing", what=to, events=len(moving.rows), strike=str(strike.pk))
    return strike


@transaction.atomic
def bring_back(*, who: User, strike: EnteredInError, reason: str) -> EnteredInError:
    """A drawing that was struck and moved nowhere stands in its visit again: as copies, for a strike stays.

    Raises PermissionDenied, VisitSigned and NotMoved.
    """
    require(who, "treat")
    visit = strike.visit
    _lock(who, visit, None)
    if strike.moved_to_id is not None or strikes.brought_back(strike):
        raise NotMoved("This drawing was moved or brought back already.")
    moving = what_was_struck(strike)
    _check_reason(reason)
    _check_room(moving, visit)
    again = EnteredInError.objects.create(
        visit=visit, moved_to=visit, events=strike.events, reason=reason.strip(), struck_by=who
    )
    _copy(moving, visit, again)
    record(who=who, did="brought back drawing", what=visit, events=len(moving.rows), strike=str(strike.pk))
    return again


def _lock(who: User, visit: Visit, to: Visit | None) -> None:
    """Both visits, always in the same order, so that two moves across each other wait and don't block."""
    wanted = {visit.pk} | ({to.pk} if to else set())
    rows = Visit.objects.select_for_update().filter(pk__in=wanted).order_by("pk")
    signed = {row.pk: row.is_signed for row in rows}
    mine = visits_of(who).filter(pk__in=wanted).count()
    if mine < len(wanted):
        raise NotMoved("That visit is not one of this practice.")
    require_open(visit)
    if to is not None and signed[to.pk]:
        raise NotMoved("That visit is signed meanwhile, so nothing can be moved to it. Choose an open one.")


def _check(moving: Moving, visit: Visit, to: Visit | None, reason: str) -> None:
    if not moving.rows:
        raise NotMoved("Nothing is drawn here any more. Somebody may have moved it already.")
    _check_reason(reason)
    if to is None:
        return
    if to.pk == visit.pk:
        raise NotMoved("The drawing is in this visit already.")
    _check_room(moving, to)


def _check_reason(reason: str) -> None:
    if not 0 < len(reason.strip()) <= LONGEST_REASON:
        raise NotMoved(f"Write why, in at most {LONGEST_REASON} characters.")


def _check_room(moving: Moving, to: Visit) -> None:
    there, points = size_of_drawing(to)
    coming = moving.strokes
    try:
        strokes.check_room(there + len(coming), points + sum(len(row.points) for row in coming))
    except strokes.StrokeError as problem:
        raise NotMoved(f"There is no room for it in that visit. {problem}") from problem


def _copy(moving: Moving, to: Visit, strike: EnteredInError) -> None:
    shift = kept_of(to).last_seq
    taken = ids_in(to)
    ids = {str(row.event_id): str(strikes.id_there(strike, row.event_id, taken)) for row in moving.rows}
    sheets = {sheet.pk: _sheet_copied(sheet, to) for sheet in moving.sheets}
    for table in TABLES:
        rows = [row for row in moving.rows if type(row) is table]
        copies = [_copied(row, to, shift, ids, sheets) for row in rows]
        table._default_manager.bulk_create(copies)


def _sheet_copied(sheet: PaperSheet, to: Visit) -> PaperSheet:
    return PaperSheet.objects.create(
        visit=to,
        drawn_by=sheet.drawn_by,
        helper=sheet.helper,
        drawn_on=sheet.drawn_on,
        entered_by_id=sheet.entered_by_id,
    )


def _copied(
    row: BoardEvent, to: Visit, shift: int, ids: dict[str, str], sheets: dict[uuid.UUID, PaperSheet]
) -> BoardEvent:
    fields = [field.attname for field in row._meta.concrete_fields if not field.primary_key]
    values: dict[str, Any] = {name: getattr(row, name) for name in fields}
    values |= {"visit_id": to.pk, "event_id": uuid.UUID(ids[str(row.event_id)]), "seq": row.seq + shift}
    if row.sheet_id:
        values["sheet_id"] = sheets[row.sheet_id].pk
    if "strokes" in values:
        values["strokes"] = _renamed(values["strokes"], ids)
    if isinstance(row, AreaAnswer):
        values["answers"] = {**row.answers, "link_to": _renamed(row.answers.get("link_to", ()), ids)}
    return type(row)(**values)


def _renamed(named: list[str], ids: dict[str, str]) -> list[str]:
    return [ids.get(each, each) for each in named]
