"""Every write of what was done. Nothing is saved past a gate."""

from collections.abc import Iterable
from datetime import datetime, time
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Max

from bodymaps.atlas import Atlas
from bodymaps.reasoning import needling
from charting.audit.services import record
from charting.drafts.services import forget
from charting.staff.models import User
from charting.staff.rights import require
from charting.treatment import counts, done, gates, techniques, where
from charting.treatment.allowed import require_allowed
from charting.treatment.done import Done, WrongEntry
from charting.treatment.models import TreatmentEntry
from charting.treatment.queries import last_entries
from charting.treatment.techniques import Technique
from charting.treatment.where import Where
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open

MOST_ENTRIES = 120


class ListFull(PermissionDenied):
    def __init__(self) -> None:
        super().__init__(f"A visit holds at most {MOST_ENTRIES} entries of treatment.")


class NotRemovable(PermissionDenied):
    """Its needles are not settled: taking it away would hide that."""

    def __init__(self) -> None:
        super().__init__(
            "Count its needles out first. An entry stays as long as as many did not come out as went in."
        )


@transaction.atomic
def add_entry(
    *, who: User, visit: Visit, said: Done, known: Atlas, after: int | None = None, draft: str = ""
) -> TreatmentEntry:
    """Record one technique on one place. Sending the same again while the page was open (`after`: the newest
    entry it showed) gives the entry made before. `draft`: the key of what was typed, forgotten with it.

    Raises WrongEntry with every field, NotAllowed or gates.GateHolds with what to do first, ListFull,
    VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    if twin := _twin(who, visit, said, after):
        return twin
    row = _add(who, visit, said, known)
    forget(who=who, key=draft)
    record(who=who, did="recorded treatment", what=row, visit=str(visit.pk), **_ids(row))
    return row


@transaction.atomic
def change_entry(
    *, who: User, visit: Visit, entry: TreatmentEntry, version: int, said: Done, known: Atlas, draft: str = ""
) -> TreatmentEntry:
    """Correct an entry, or add what it did: technique, muscle and side stay. What was done stays allowed by
    what was agreed to when it was entered, so needles can be counted out after a consent was withdrawn.

    Sending the same again changes nothing. Raises WrongEntry, NotAllowed when another site was not agreed to,
    Stale with the row as it stands, VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    row = TreatmentEntry.objects.get(pk=entry.pk, visit=visit)
    before = done.of(row)
    if (said.technique, said.at.spot) != (before.technique, before.at.spot):
        raise WrongEntry({"place": "Technique, muscle and side of an entry stay: enter another one."})
    technique = _checked(said, known)
    if said.at != before.at:
        _require_may(visit, technique, said.at, when=row.entered_at)
    changed = sorted(name for name, value in said.columns.items() if getattr(row, name) != value)
    if changed:
        save_if_current(row, version=version, **said.columns)
        detail = {"visit": str(visit.pk), "changed": changed, "was": _kept(before, changed)}
        record(who=who, did="changed treatment", what=row, **detail)
    forget(who=who, key=draft)
    return row


@transaction.atomic
def remove_entry(*, who: User, visit: Visit, entry: TreatmentEntry, version: int) -> None:
    """Take an entry off an open visit; the audit trail keeps what it was, without its remark.

    Raises NotRemovable while its needles are not settled, Stale when somebody changed it since `version`,
    VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    row = TreatmentEntry.objects.select_for_update().get(pk=entry.pk, visit=visit)
    if row.version != version:
        raise Stale(row)
    if counts.state_of(row) in (counts.TO_COUNT, counts.UNEQUAL):
        raise NotRemovable
    was = _kept(done.of(row), done.of(row).columns)
    record(who=who, did="removed treatment", what=row, visit=str(visit.pk), was=was)
    row.delete()


@transaction.atomic
def repeat_last(
    *, who: User, visit: Visit, entries: Iterable[int], known: Atlas
) -> tuple[TreatmentEntry, ...]:
    """Record again what was done at the last visit (ids of its entries): where and how much, nothing that is
    found out anew. What stands on today's list already is left alone; needles are entered one by one.

    All or none. Raises as add_entry does; of NotAllowed the words name the first that may not be done.
    """
    require(who, "treat")
    require_open(visit)
    chosen = set(entries)
    there = {(row.technique, where.of(row)) for row in TreatmentEntry.objects.filter(visit=visit)}
    said = [done.of(row).without_results for row in last_entries(visit) if row.pk in chosen]
    new = [each for each in said if (each.technique, each.at) not in there and not _has_needles(each)]
    made = tuple(_add(who, visit, each, known) for each in new)
    if made:
        lines = [_ids(row) for row in made]
        record(who=who, did="repeated treatment", what=visit, entries=lines)
    return made


@transaction.atomic
def move_entry(*, who: User, visit: Visit, entry: TreatmentEntry, step: int) -> None:
    """Put an entry one place up (-1) or down (1) in the order of the list; nothing happens at its ends."""
    require(who, "treat")
    require_open(visit)
    rows = list(TreatmentEntry.objects.filter(visit=visit))
    place = next(number for number, row in enumerate(rows) if row.pk == entry.pk)
    to = place + step
    if step not in (-1, 1) or not 0 <= to < len(rows):
        return
    rows[place], rows[to] = rows[to], rows[place]
    for position, row in enumerate(rows, 1):
        TreatmentEntry.objects.filter(pk=row.pk).exclude(position=position).update(position=position)
    record(who=who, did="moved treatment", what=entry, visit=str(visit.pk), to=to + 1)


def new_draft_key(visit: Visit, technique: str, at: Where) -> str:
    """What was typed of a new entry: of one place and technique."""
    return f"{drafts_of_visit(visit)}{technique[:10]}:{at.spot.token}"[:120]


def draft_key(entry: TreatmentEntry) -> str:
    return f"treatment-entry:{entry.pk}"


def drafts_of_visit(visit: Visit) -> str:
    """How the key of every new entry of a visit begins."""
    return f"treatment:{visit.pk}:"


def _add(who: User, visit: Visit, said: Done, known: Atlas) -> TreatmentEntry:
    technique = _checked(said, known)
    _require_may(visit, technique, said.at)
    rows = TreatmentEntry.objects.filter(visit=visit)
    if rows.count() >= MOST_ENTRIES:
        raise ListFull
    last = rows.aggregate(last=Max("position"))["last"] or 0
    return TreatmentEntry.objects.create(visit=visit, entered_by=who, position=last + 1, **said.columns)


def _require_may(visit: Visit, technique: Technique, at: Where, *, when: datetime | None = None) -> None:
    """Raises NotAllowed, and of a needle GateHolds."""
    require_allowed(visit, technique, at, when=when)
    if technique.needle:
        gates.require_may_needle(visit, muscle=at.muscle, side=at.side, site=at.site, area=at.area)


def _checked(said: Done, known: Atlas) -> Technique:
    """The technique of an entry that holds what it may. Raises WrongEntry."""
    done.check(said, known, needs_way=needs_way(said.technique, said.at))
    technique = techniques.load().get(said.technique)
    assert technique  # noqa: S101 - done.check refuses an unknown one
    return technique


def needs_way(technique: str, at: Where) -> bool:
    """Whether depth and direction of the needle have to be said: the lung lies near."""
    one = techniques.load().get(technique)
    return one is not None and one.needle and needling.over_lung(at.muscle, at.site, *at.consent_keys[:1])


def _has_needles(said: Done) -> bool:
    one = techniques.load().get(said.technique)
    return one is None or one.needle


def _twin(who: User, visit: Visit, said: Done, after: int | None) -> TreatmentEntry | None:
    """The entry that a second tap on the same form would make again."""
    if after is None:
        return None
    since = TreatmentEntry.objects.filter(visit=visit, entered_by=who, pk__gt=after, **_where(said))
    return next((row for row in since if done.of(row) == said), None)


def _where(said: Done) -> dict[str, Any]:
    at = said.at
    return {"technique": said.technique, "muscle": at.muscle, "side": at.side, "area": at.area}


def _ids(row: TreatmentEntry) -> dict[str, str]:
    """For the trail: what and where, by ids."""
    place = where.of(row)
    return {"technique": row.technique, "place": place.token}


def _kept(before: Done, names: Iterable[str]) -> dict[str, Any]:
    """What these columns held, without the remark: the trail takes no words about a patient."""
    kept = {name: value for name, value in before.columns.items() if name in names and name != "remark"}
    return {name: f"{value:%H:%M}" if isinstance(value, time) else value for name, value in kept.items()}
