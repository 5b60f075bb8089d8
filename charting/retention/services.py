"""A record whose time is over, removed whole. What stays: the trail, and one row that says that it went."""

import hashlib
import json
from datetime import date

from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.drafts.models import Draft
from charting.exchange.models import ImportFile
from charting.exchange.whole.rows import as_data
from charting.patients.models import Patient
from charting.report.content import canonical
from charting.retention.models import Purge
from charting.retention.periods import Periods
from charting.retention.queries import Inside, inside, parts, standing_of
from charting.staff.models import User
from charting.staff.rights import require


class NotPurged(Exception):
    """Why, in plain words; nothing was removed."""


@transaction.atomic
def purge(*, who: User, person: Patient, periods: Periods, reason: str, today: date) -> Purge:
    """Remove a record, with those merged into it, from every table. Raises PermissionDenied, and NotPurged
    where its time is not over or something holds it. While the row of the purge is open the triggers of this
    very transaction let rows go (append_only.py); nobody else ever sees it open.
    """
    require(who, "purge records")
    held = Patient.objects.select_for_update().filter(pk=person.pk, practice=who.practice_id).first()
    if held is None or held.merged_into_id:
        raise NotPurged("There is no such record, or it was merged into another: name the one that stays.")
    found = standing_of(held, periods)
    if not found.is_due(today):
        raise NotPurged(f"Record {held.record_number} is kept until {found.due_on:%Y-%m-%d}.")
    if found.holds:
        raise NotPurged(f"Record {held.record_number} can't go: {'; '.join(found.holds)}.")
    rows = inside([one.pk for one in found.records])
    told = _fingerprint(rows)
    row = Purge.objects.create(
        practice_id=held.practice_id,
        patient_id=held.pk,
        record_number=held.record_number,
        by=who.audit_name,
        reason=reason,
        last_entry_on=found.last_entry,
        removed={model._meta.db_table: len(keys) for model, keys in rows.items()},
        sha256=told,
    )
    _remove(rows)
    _forget_beside(held.practice_id, rows)
    row.finished_at = timezone.now()
    row.save(update_fields=["finished_at"])
    numbers = [one.record_number for one in found.records]
    record(
        who=who, did="purged record", what=row, records=numbers, rows=sum(row.removed.values()), sha256=told
    )
    return row


def _remove(rows: Inside) -> None:
    """Keys are checked when the transaction ends: the order of tables is of no matter."""
    for model, keys in rows.items():
        for part in parts(keys):
            found = model._default_manager.filter(pk__in=part)
            found._raw_delete(found.db)


def _forget_beside(practice_id: int, rows: Inside) -> None:
    """What holds words of the person and has no key to them: half-typed forms, files from elsewhere."""
    ids = {str(key) for keys in rows.values() for key in keys if not isinstance(key, int)}
    drafts = Draft.objects.filter(user__practice=practice_id)
    gone = [row.pk for row in drafts.defer("data") if ids.intersection(row.key.split(":"))]
    drafts.filter(pk__in=gone).delete()
    for file in ImportFile.objects.filter(practice=practice_id).exclude(outcome=None).defer("content"):
        left = {
            name: [row for row in made if not any(one in json.dumps(row) for one in ids)]
            for name, made in (file.outcome or {}).items()
        }
        if left != file.outcome:
            said = {"content": b"", "name": "removed with a record", "outcome": left}
            ImportFile.objects.filter(pk=file.pk).update(**said)


def _fingerprint(rows: Inside) -> str:
    """SHA-256 over everything that goes, so that a copy that turns up can be told to be of it."""
    made = hashlib.sha256()
    for model, keys in rows.items():
        for part in parts(sorted(keys)):
            for row in model._default_manager.filter(pk__in=part).order_by("pk"):
                made.update(canonical({"table": model._meta.db_table, "row": as_data(row)}))
    return made.hexdigest()
