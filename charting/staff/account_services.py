"""What somebody changes about their own way in: the password, and where they are signed in."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet

from charting.audit.services import record
from charting.staff import second_factor, sessions
from charting.staff.models import StaffSession, User

SAME_AGAIN = "Choose another one than before."


@transaction.atomic
def change_password(*, who: User, password: str, session_key: str | None) -> None:
    """`who` proved to know the old one. Every other session ends. Raises ValidationError for a weak password,
    or for the old one again.
    """
    if who.check_password(password):
        raise ValidationError(SAME_AGAIN)
    validate_password(password, who)
    who.set_password(password)
    who.must_change_password = False
    who.save(update_fields=["password", "must_change_password"])
    ended = sessions.drop(_others(who, session_key))
    record(who=who, did="changed password", what=who, sessions_ended=ended)


@transaction.atomic
def end_session(*, who: User, row_id: int) -> bool:
    """End one session of one's own; every device is asked for a code again. False when there is none of this
    id, or it is over.
    """
    ended = sessions.drop(StaffSession.objects.filter(user=who, ended_at=None, pk=row_id))
    if ended:
        second_factor.ask_anew(who)
        record(who=who, did="ended a session", what=who, session=row_id)
    return ended > 0


@transaction.atomic
def end_other_sessions(*, who: User, session_key: str | None) -> int:
    """End every session of one's own but that of this key. Returns how many."""
    ended = sessions.drop(_others(who, session_key))
    second_factor.ask_anew(who)
    record(who=who, did="ended the other sessions", what=who, sessions_ended=ended)
    return ended


def _others(who: User, session_key: str | None) -> QuerySet[StaffSession]:
    return StaffSession.objects.filter(user=who, ended_at=None).exclude(session_key=session_key or "")
