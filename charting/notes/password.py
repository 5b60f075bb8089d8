"""The password again at every signature: who signs is who signed in (the idea of 21 CFR 11.200)."""

from django.db import models, transaction
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.audit.services import record
from charting.staff.models import User
from charting.staff.tries import WRONG_TRIES, WRONG_WITHIN

WRONG_PASSWORD = "gave a wrong password at signing"  # noqa: S105 - the name of an audit action


class NotSigned(Exception):
    """Nothing was signed or added; the text tells the clinician why."""


def check_password(*, who: User, password: str, at: models.Model) -> None:
    """Raise NotSigned unless it is the password of `who`. A wrong try stays on record, beside the row it was
    given at.
    """
    if is_locked_out(who):
        raise NotSigned("Too many wrong passwords. Wait a quarter of an hour, then try again.")
    if not who.check_password(password):
        with transaction.atomic():
            record(who=who, did=WRONG_PASSWORD, what=at)
        raise NotSigned("That is not your password. Nothing was signed.")


def is_locked_out(user: User) -> bool:
    """Too many wrong passwords at signing within a quarter of an hour (both numbers: common practice)."""
    recent = AuditEntry.objects.filter(
        actor_id=user.pk, action=WRONG_PASSWORD, at__gte=timezone.now() - WRONG_WITHIN
    )
    return recent.count() >= WRONG_TRIES
