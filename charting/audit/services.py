"""record(): the line every service ends with."""

from collections.abc import Iterable
from typing import Any, Protocol

from django.db import models, transaction

from charting.audit import chain, emergency, where
from charting.audit.models import AuditEntry


class Actor(Protocol):
    """Whoever acts: a member of staff, or the hand-over behind which a patient draws."""

    @property
    def audit_name(self) -> str: ...
    @property
    def audit_role(self) -> str: ...
    @property
    def audit_practice_id(self) -> int | None: ...
    @property
    def audit_user_id(self) -> int | None: ...


def record(*, who: Actor, did: str, what: models.Model, **detail: Any) -> None:
    """Write one audit row. Call it inside the transaction of the change it tells of.

    Raises RuntimeError outside a transaction when something was changed: a row that could outlive
    a rolled-back change, or miss a committed one, proves nothing. `detail` takes ids and counts only. The
    last line of a service, for it holds the chain of the practice until the transaction ends.
    """
    record_each(who=who, did=did, what=[(what, detail)])


def record_each(*, who: Actor, did: str, what: Iterable[tuple[models.Model, dict[str, Any]]]) -> None:
    """The same for many rows that one change makes: (row, detail) of each. Raises RuntimeError."""
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError(f"audit row '{did}' outside the transaction of its change")
    open_only_so = getattr(who, "audit_emergencies", {})
    rows = [
        AuditEntry(
            practice_id=who.audit_practice_id,
            actor_id=who.audit_user_id,
            actor=who.audit_name,
            role=who.audit_role,
            action=did,
            object_type=row._meta.model_name or "",
            object_id=str(row.pk),
            detail={**detail, **emergency.marks(open_only_so, row)},
            address=where.address(),
        )
        for row, detail in what
    ]
    chain.link(who.audit_practice_id or 0, rows)
    AuditEntry.objects.bulk_create(rows, batch_size=500)


@transaction.atomic
def record_look(*, who: Actor, at: models.Model, as_: str = "opened") -> None:
    """Write down that somebody opened, printed or exported a chart."""
    record(who=who, did=as_, what=at)
