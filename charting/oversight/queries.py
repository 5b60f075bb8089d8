"""The trail of a practice, read back: the newest first, a page at a time. By ids; no name of a patient."""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db import connection
from django.db.models import Q, QuerySet

from charting.audit.models import AuditEntry
from charting.exchange.whole.rows import held_by, tables
from charting.patients.models import Patient
from charting.staff.models import Practice, User

PAGE = 100
# Each action that a chain has, by one look into the index for each: a list of millions is never read through.
ACTIONS = """
WITH RECURSIVE told(action) AS (
  SELECT MIN(action) FROM charting_auditentry WHERE practice_id = %s
  UNION ALL
  SELECT (SELECT MIN(action) FROM charting_auditentry WHERE practice_id = %s AND action > told.action)
  FROM told WHERE told.action IS NOT NULL
) SELECT action FROM told WHERE action IS NOT NULL
"""
# Tables with very many rows, none of which an entry is ever about.
NEVER_ABOUT = frozenset({"StoredStroke", "DrawnCells", "Withdrawal", "BoardAnswer", "SignedPaper"})


@dataclass(frozen=True)
class Wanted:
    """What is looked for; None and "": everything. `record`: a number, or the id of anything."""

    member: int | None = None
    action: str = ""
    day: date | None = None
    record: str = ""
    before: int | None = None


def entries(practice: Practice, wanted: Wanted) -> list[AuditEntry]:
    """One row more than a page, when there are older ones."""
    rows = AuditEntry.objects.filter(chain=practice.pk)
    if wanted.member:
        rows = rows.filter(actor_id=wanted.member)
    if wanted.action:
        rows = rows.filter(action=wanted.action)
    if wanted.day:
        rows = rows.filter(at__gte=_start(practice, wanted.day), at__lt=_end(practice, wanted.day))
    if wanted.record:
        rows = rows.filter(_about(practice, wanted.record))
    if wanted.before:
        rows = rows.filter(seq__lt=wanted.before)
    return list(rows.order_by("-seq")[: PAGE + 1])


def actions(practice: Practice) -> tuple[str, ...]:
    """Every action the trail of the practice tells of."""
    with connection.cursor() as cursor:
        cursor.execute(ACTIONS, [practice.pk, practice.pk])
        return tuple(row[0] for row in cursor.fetchall())


def members(practice: Practice) -> QuerySet[User]:
    """Everybody who works there, or did."""
    return User.objects.filter(practice=practice).order_by("last_name", "first_name", "username")


def record_numbers(practice: Practice, rows: Iterable[AuditEntry]) -> dict[tuple[str, str], int]:
    """Of what each entry is about, the record it belongs to: one query for each kind of thing on the page."""
    found: dict[tuple[str, str], int] = {}
    for model, paths in tables().items():
        name = model._meta.model_name or ""
        ids = {row.object_id for row in rows if row.object_type == name}
        known = _as_ids(model, ids)
        if not known:
            continue
        for path in paths:
            to = "record_number" if path == "pk" else f"{path}__record_number"
            of = Q(practice=practice) if path == "pk" else Q(**{f"{path}__practice": practice})
            held = model._default_manager.filter(of, pk__in=known).values_list("pk", to)
            found |= {(name, str(pk)): number for pk, number in held if number}
    return found


def _about(practice: Practice, said: str) -> Q:
    """Everything that hangs on the record of this number, or the one thing of this id."""
    if not said.isdecimal():
        return Q(object_id=said)
    people = list(Patient.objects.filter(practice=practice, record_number=int(said)))
    people += Patient.objects.filter(merged_into__in=people)
    about = Q(pk__in=[])
    for model in tables():
        if model.__name__ in NEVER_ABOUT:
            continue
        ids = [str(pk) for pk in held_by(model, [one.pk for one in people]).values_list("pk", flat=True)]
        if ids:
            about |= Q(object_type=model._meta.model_name, object_id__in=ids)
    return about


def _as_ids(model: type, ids: Iterable[str]) -> Sequence[uuid.UUID | int]:
    """Ids as this table writes them; what is none of its own is left out."""
    kind = uuid.UUID if model._meta.pk.get_internal_type() == "UUIDField" else int  # type: ignore[attr-defined]
    found = []
    for said in ids:
        try:
            found.append(kind(said))
        except ValueError:
            continue
    return found


def _start(practice: Practice, day: date) -> datetime:
    return datetime.combine(day, time.min, practice.zone)


def _end(practice: Practice, day: date) -> datetime:
    return _start(practice, day + timedelta(days=1))
