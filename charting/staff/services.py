"""Opening a practice and taking people on, from the command line: there is nobody signed in yet who could."""

from dataclasses import dataclass

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from charting.audit.services import record
from charting.staff.models import Practice, User


@dataclass(frozen=True)
class CommandLine:
    """Who acts when somebody with the rights of the machine types a command."""

    audit_practice_id: int | None = None
    audit_name: str = "command line"
    audit_role: str = ""
    audit_user_id: int | None = None


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
    owns_practice: bool = False,
) -> User:
    """A new member of staff. The first of a practice owns it, unless it is an auditor. Raises ValidationError
    that says what to mend: a taken name, a weak password, an auditor who is to own the practice.
    """
    if owns_practice and role == User.Role.AUDITOR:
        raise ValidationError("An auditor checks what owners do, and is none.")
    given, _, family = name.strip().rpartition(" ")
    user = User(practice=practice, username=username, first_name=given, last_name=family, role=role)
    user.title, user.registration = title, registration
    is_first = not practice.staff.exists() and role not in (User.Role.AUDITOR, User.Role.OWNER)
    user.owns_practice = owns_practice or is_first
    validate_password(password, user)
    user.set_password(password)
    user.full_clean()
    user.save()
    record(who=CommandLine(practice.pk), did="added staff", what=user)
    return user
