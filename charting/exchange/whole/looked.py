"""Who opened, printed, exported or changed anything of a person's record: the audit trail, read back."""

from collections.abc import Iterable, Mapping, Sequence

from django.db.models import Model

from charting.audit.models import AuditEntry
from charting.notes.password import WRONG_PASSWORD
from charting.patients.models import Patient

# As many ids as every database takes in one question.
AT_ONCE = 500
Rows = Mapping[type[Model], Sequence[Model]]


def entries_about(person: Patient, rows: Rows) -> tuple[AuditEntry, ...]:
    """The oldest first. A wrong password of a member of staff is no matter of the person's."""
    found: dict[int, AuditEntry] = {}
    for model, held in rows.items():
        name = model._meta.model_name or ""
        for ids in _parts([str(row.pk) for row in held]):
            entries = AuditEntry.objects.filter(
                practice_id=person.practice_id, object_type=name, object_id__in=ids
            )
            found |= {entry.pk: entry for entry in entries.exclude(action=WRONG_PASSWORD)}
    return tuple(sorted(found.values(), key=lambda entry: (entry.at, entry.pk)))


def _parts(ids: Sequence[str]) -> Iterable[Sequence[str]]:
    return (ids[start : start + AT_ONCE] for start in range(0, len(ids), AT_ONCE))
