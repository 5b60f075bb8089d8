"""Opening a practice and taking people on, from the command line: there is nobody signed in yet who could.
And counting wrong passwords at the way in.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from charting.audit.services import record
from charting.staff import queries
from charting.staff.models import Practice, SignInTry, User

WRONG_AT_SIGN_IN = "gave a wrong password at sign-in"  # noqa: S105 - the name of an audit action
FORGOTTEN_AFTER = timedelta(days=1)


@dataclass(frozen=True)
class CommandLine:
    """Who acts when somebody with the rights of the machine types a command."""

    audit_practice_id: int | None = None
    audit_name: str = "command line"
    audit_role: str = ""
    audit_user_id: int | None = None


@dataclass(frozen=True)
class Visitor:
    """Somebody who gave a wrong password: nobody knows who it was, only whose name was given."""

    audit_practice_id: int | None
    audit_name: str = "somebody not signed in"
    audit_role: str = ""
    audit_user_id: int | None = None


class MustWait(Exception):
    """Too many wrong passwords; `until` is when the next one may be given."""

    def __init__(self, until: datetime) -> None:
        self.until = until
        super().__init__(f"Too many wrong passwords. The next may be given at {until:%H:%M:%S %Z}.")


@transaction.atomic
def open_practice(*, name: str, time_zone: str, **letterhead: str) -> Practice:
    """`letterhead`: street, town, phone, email, registration, paper. Raises ValidationError for a name that
    is empty or taken, an unknown time zone, or a letterhead that can't be printed.
    """
    if Practice.objects.filter(name=name).exists():
        raise ValidationError("There is a practice of this name already.")
    practice = Practice(name=name, time_zone=time_zone, **letterhead)
    practice.full_clean()
    practice.save()
    record(who=CommandLine(practice.pk), did="opened practice", what=practice)
    return practice


@transaction.atomic
def take_on(
    *,
    practice: Practice,
    username: str,
    name: str,
    role: str,
    password: str,
    title: str = "",
    registration: str = "",
) -> User:
    """A new member of staff. Raises ValidationError that says what to mend: a taken name, a weak password."""
    given, _, family = name.strip().rpartition(" ")
    user = User(practice=practice, username=username, first_name=given, last_name=family, role=role)
    user.title, user.registration = title, registration
    validate_password(password, user)
    user.set_password(password)
    user.full_clean()
    user.save()
    record(who=CommandLine(practice.pk), did="added staff", what=user)
    return user


def begin_try(*, name: str, address: str) -> SignInTry:
    """Put the try on record before the password is looked at, so that a hundred at the same moment do not all
    find the count low. Raises MustWait, and then nothing is counted: waiting is never made longer.
    """
    digest = queries.name_digest(name)
    _raise_if(queries.next_try_at(digest, address))
    SignInTry.objects.filter(at__lt=timezone.now() - FORGOTTEN_AFTER).delete()
    row = SignInTry.objects.create(name_digest=digest, address=address)
    until = queries.next_try_at(digest, address, among_it=1)
    if until:
        row.delete()
    _raise_if(until)
    return row


def end_try(*, row: SignInTry, name: str, user: User | None) -> None:
    """`user`: who signed in with it, or None when the password was wrong. That is written down, with the
    address and whose name it was, if anybody's.
    """
    if user:
        SignInTry.objects.filter(pk=row.pk).update(was_right=True)
        return
    with transaction.atomic():
        named = User.objects.filter(username=name).first()
        visitor = Visitor(named.practice_id if named else None)
        waits = queries.next_try_at(row.name_digest, row.address) is not None
        record(who=visitor, did=WRONG_AT_SIGN_IN, what=named or row, address=row.address, must_wait=waits)


def _raise_if(until: datetime | None) -> None:
    if until:
        raise MustWait(until)
