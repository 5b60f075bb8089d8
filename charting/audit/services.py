"""record(): the line every service ends with."""

from typing import Any, Protocol

from django.db import models, transaction

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
    a rolled-back change, or miss a committed one, proves nothing. `detail` takes ids and counts only.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError(f"audit row '{did}' outside the transaction of its change")
    AuditEntry.objects.create(
        practice_id=who.audit_practice_id,
        actor_id=who.audit_user_id,
        actor=who.audit_name,
        role=who.audit_role,
        action=did,
        object_type=what._meta.model_name or "",
        object_id=str(what.pk),
        detail=detail,
    )


@transaction.atomic
def record_look(*, who: Actor, at: models.Model, as_: str = "opened") -> None:
    """Write down that somebody opened, printed or exported a chart."""
    record(who=who, did=as_, what=at)
