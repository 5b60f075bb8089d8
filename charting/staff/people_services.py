"""Every change of who works here and what they may: by an owner of the practice."""

import secrets
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction

from charting.audit.services import Actor, record
from charting.staff import sessions
from charting.staff.models import Practice, Site, User
from charting.staff.people import Said, owners_beside, practice_of, said_of
from charting.staff.rights import require

Role = User.Role
# Without letters and digits that look alike; 16 of them are 78 bits.
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
GROUPS, LETTERS_OF_A_GROUP = 4, 4
LAST_OWNER = "Somebody has to own the practice. Make somebody else an owner first."


class ChangedMeanwhile(Exception):
    """Somebody else saved since the page was opened; `current` is what stands on record."""

    def __init__(self, current: Said) -> None:
        self.current = current
        super().__init__("changed by somebody else since this page was opened")


def first_password() -> str:
    """Made by chance, easy to read out. Good for signing in once: then a password of one's own is chosen."""
    groups = ("".join(secrets.choice(LETTERS) for _ in range(LETTERS_OF_A_GROUP)) for _ in range(GROUPS))
    return "-".join(groups)


@transaction.atomic
def take_on(*, who: User, username: str, said: Said) -> tuple[User, str]:
    """A new member of staff, and the first password, which is shown once and kept nowhere. The same sent
    again, before anybody signed in with it, gives the same person and another first password.

    Raises ValidationError by field.
    """
    practice = _owned(who)
    twin = User.objects.filter(username=username, practice=practice, last_login=None).first()
    if twin and twin.must_change_password and said_of(twin) == said:
        return twin, _with_first_password(who, twin)
    sites = _checked(practice, said)
    password = first_password()
    user = User(practice=practice, username=username, must_change_password=True, **said.columns)
    user.set_password(password)
    user.full_clean()
    user.save(force_insert=True)
    user.sites.set(sites)
    record(who=who, did="took on", what=user, role=said.role, sites=[site.pk for site in sites])
    return user, password


@transaction.atomic
def change(*, who: User, user: User, shown: str, said: Said) -> User:
    """Say something else of somebody; it counts from their next request. `shown`: the fingerprint of what the
    page showed. Raises ChangedMeanwhile, ValidationError by field.
    """
    practice = _owned(who, user)
    before = said_of(_locked(user))
    if before.fingerprint != shown:
        raise ChangedMeanwhile(before)
    if before.is_owner and not said.is_owner:
        _keep_an_owner(practice, user, "role")
    sites = _checked(practice, said, kept=before.sites)
    _write(user, said, sites)
    record(who=who, did="changed rights", what=user, **_told(before, said))
    return user


@transaction.atomic
def disable(*, who: User, user: User) -> None:
    """Shut somebody out who no longer works here: at their next request, on every device. What they wrote
    stays. Raises ValidationError for the last owner and for oneself.
    """
    practice = _owned(who, user)
    if user.pk == who.pk:
        raise ValidationError("Nobody shuts out themselves. Another owner can.")
    if said_of(user).is_owner:
        _keep_an_owner(practice, user, None)
    if not User.objects.filter(pk=user.pk, is_active=True).update(is_active=False):
        return
    record(who=who, did="disabled staff", what=user, sessions_ended=sessions.drop_all(user))


@transaction.atomic
def enable(*, who: User, user: User) -> str:
    """Let somebody in again, with a new first password. Returns it."""
    _owned(who, user)
    User.objects.filter(pk=user.pk).update(is_active=True)
    return _with_first_password(who, user, did="enabled staff")


@transaction.atomic
def set_first_password(*, who: User, user: User) -> str:
    """For somebody who has forgotten the own: a new first password, shown once. Every session of theirs ends;
    the second factor stays (ASVS 6.4.3). Raises PermissionDenied for oneself.
    """
    _owned(who, user)
    if user.pk == who.pk:
        raise PermissionDenied("You change your own password on the page of your account.")
    return _with_first_password(who, user)


@transaction.atomic
def sign_out_everywhere(*, who: User, user: User) -> int:
    """End every session of somebody, for a device that was lost (ASVS 7.4.5). Returns how many."""
    _owned(who, user)
    ended = sessions.drop_all(user)
    record(who=who, did="ended sessions of staff", what=user, sessions_ended=ended)
    return ended


@transaction.atomic
def make_owner(*, who: Actor, user: User) -> None:
    """For the command line: where nobody owns the practice yet. Raises ValidationError for an auditor."""
    if user.practice is None or user.role == Role.AUDITOR:
        raise ValidationError("An owner belongs to a practice and is no auditor.")
    User.objects.filter(pk=user.pk).update(owns_practice=True)
    record(who=who, did="made owner", what=user)


def _with_first_password(who: User, user: User, did: str = "set first password") -> str:
    password = first_password()
    user.set_password(password)
    user.must_change_password = True
    user.save(update_fields=["password", "must_change_password"])
    record(who=who, did=did, what=user, sessions_ended=sessions.drop_all(user))
    return password


def _owned(who: User, user: User | None = None) -> Practice:
    """The practice, held until the transaction ends: two owners at once never leave it without one."""
    require(who, "grant rights")
    practice = practice_of(who)
    if user is not None and user.practice_id != practice.pk:
        raise PermissionDenied("This person works at another practice.")
    return Practice.objects.select_for_update().get(pk=practice.pk)


def _locked(user: User) -> User:
    return User.objects.select_for_update().get(pk=user.pk)


def _keep_an_owner(practice: Practice, user: User, field: str | None) -> None:
    if not owners_beside(practice, user).exists():
        raise ValidationError({field: LAST_OWNER} if field else LAST_OWNER)


def _checked(practice: Practice, said: Said, kept: tuple[int, ...] = ()) -> list[Site]:
    """The sites that are meant. Raises ValidationError by field for what does not go together."""
    if not (said.first_name or said.last_name):
        raise ValidationError({"last_name": "Enter the name that stands under what this person signs."})
    if said.role != Role.CLINICIAN and (said.is_trainee or said.writes_patterns):
        name = "is_trainee" if said.is_trainee else "writes_patterns"
        raise ValidationError(
            {name: "Only a clinician can be this. Choose that role, or take the tick away."}
        )
    if said.role == Role.AUDITOR and said.owns_practice:
        raise ValidationError({"owns_practice": "An auditor checks what owners do, and is none."})
    sites = list(practice.sites.filter(pk__in=said.sites)) if not said.every_site else []
    if not said.every_site and not sites:
        raise ValidationError({"sites": "Choose at least one site, or every site."})
    if any(not site.in_use and site.pk not in kept for site in sites):
        raise ValidationError({"sites": "One of these sites was closed meanwhile. Choose again."})
    return sites


def _write(user: User, said: Said, sites: list[Site]) -> None:
    for name, value in said.columns.items():
        setattr(user, name, value)
    user.full_clean(exclude=["password", "username"])
    user.save(update_fields=list(said.columns))
    user.sites.set(sites)


def _told(before: Said, said: Said) -> dict[str, Any]:
    """What was changed, without a name: rights and sites as they are now, of the rest that it changed."""
    was, now = {**before.columns, "sites": before.sites}, {**said.columns, "sites": said.sites}
    changed = [name for name in now if now[name] != was[name]]
    rights = ("role", "is_trainee", "owns_practice", "writes_patterns", "every_site", "sites")
    return {"changed": changed, **{name: now[name] for name in changed if name in rights}}
