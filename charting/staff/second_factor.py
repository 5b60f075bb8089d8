"""The second factor of who works here: set up, asked for, lost and taken off again."""

import secrets
import time
from collections.abc import Sequence

from django.contrib.auth.hashers import check_password, make_password
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from charting.audit.services import Actor, record
from charting.staff import second_factor_secret as kept
from charting.staff import sessions
from charting.staff.models import BackupCode, SecondFactor, User
from charting.staff.rights import require

BACKUP_CODES = 10
# Without letters and digits that look alike. Ten of them are 49 bits, good once and tried five times at most.
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
LETTERS_OF_A_CODE = 10
# The page to set up waits this long for the first code; then it shows a new secret.
SET_UP_WITHIN = 60 * 60

NOT_THE_CODE = "This is not the code of this moment. It changes every 30 seconds, and each is good once."
TOO_LONG_AGO = "This page stood open for too long. Scan the new code below."


def is_required(user: User) -> bool:
    """Everywhere but in a practice of invented people."""
    return user.practice is not None and not user.practice.is_demo


def factor_of(user: User) -> SecondFactor | None:
    """The one that was confirmed by a code; None for who has none."""
    return SecondFactor.objects.filter(user=user, confirmed_at__isnull=False).first()


def codes_left(user: User) -> int:
    return BackupCode.objects.filter(user=user, used_at=None).count()


def fresh_secret(user: User) -> str:
    """A secret to set up. It stands nowhere but in the page, sealed, until a code confirms it."""
    return kept.seal(kept.new_secret(), user.pk).decode()


def secret_in(sealed: str, user: User) -> bytes:
    """Raises ValidationError for one that was not made for this person, or too long ago."""
    try:
        return kept.unseal(sealed.encode(), user.pk, within=SET_UP_WITHIN)
    except ValueError as problem:
        raise ValidationError(TOO_LONG_AGO, "too_long_ago") from problem


def first_step(sealed: str, code: str, user: User) -> tuple[bytes, int]:
    """The secret, and the step of time of the code that confirms it. Raises ValidationError."""
    secret = secret_in(sealed, user)
    step = kept.step_of(plain(code), secret, time.time())
    if step is None:
        raise ValidationError(NOT_THE_CODE, "not_the_code")
    return secret, step


@transaction.atomic
def set_up(*, who: User, sealed: str, code: str) -> list[str]:
    """Take the authenticator that gave this code, in place of an earlier one. Returns the new backup codes,
    which are shown once and stored nowhere. Raises ValidationError.
    """
    secret, step = first_step(sealed, code, who)
    SecondFactor.objects.filter(user=who).delete()
    SecondFactor.objects.create(
        user=who, secret=kept.seal(secret, who.pk), confirmed_at=timezone.now(), last_step=step
    )
    codes = _write_codes(who)
    record(who=who, did="set up a second factor", what=who)
    return codes


@transaction.atomic
def new_backup_codes(*, who: User) -> list[str]:
    """Ten new ones; those before are worth nothing any more. Raises PermissionDenied without a factor."""
    if factor_of(who) is None:
        raise PermissionDenied("Backup codes stand in for an authenticator. Set one up first.")
    codes = _write_codes(who)
    record(who=who, did="made new backup codes", what=who)
    return codes


@transaction.atomic
def use_code(*, who: User, code: str) -> str:
    """Take a code of the authenticator or a backup code, so that it is never taken again: "code" or "backup".
    "" for one that is neither.
    """
    if _use_of_authenticator(who, plain(code)):
        return "code"
    if _use_of_paper(who, plain(code)):
        record(who=who, did="used a backup code", what=who, left=codes_left(who))
        return "backup"
    return ""


@transaction.atomic
def forget(*, who: Actor, user: User) -> None:
    """Take the second factor off somebody who has lost it, and sign them out everywhere. Where one is
    required nothing else opens to them until they have set up another. Raises PermissionDenied.
    """
    if isinstance(who, User):
        require(who, "grant rights")
        if who.practice_id != user.practice_id:
            raise PermissionDenied("This person works at another practice.")
    SecondFactor.objects.filter(user=user).delete()
    BackupCode.objects.filter(user=user).delete()
    ended = sessions.drop_all(user)
    record(who=who, did="reset a second factor", what=user, sessions_ended=ended)


def ask_anew(user: User) -> None:
    """No device is spared the code any more (charting.staff.known_device): the sealed secret is another."""
    for factor in SecondFactor.objects.filter(user=user):
        factor.secret = kept.seal(kept.unseal(bytes(factor.secret), user.pk), user.pk)
        factor.save(update_fields=["secret"])


def plain(code: str) -> str:
    """As it is compared: people type blanks and dashes, and capitals."""
    return "".join(letter for letter in code.lower() if letter.isalnum())


def in_groups(code: str) -> str:
    """ "3-abcde-fghjk": the first figure says which of the ten it is."""
    return f"{code[0]}-{code[1:6]}-{code[6:]}"


def _use_of_authenticator(who: User, code: str) -> bool:
    """One UPDATE that only the first of two at the same moment wins."""
    factor = factor_of(who)
    if factor is None:
        return False
    step = kept.step_of(code, kept.unseal(bytes(factor.secret), who.pk), time.time())
    taken = SecondFactor.objects.filter(pk=factor.pk, last_step__lt=step) if step is not None else None
    return taken is not None and taken.update(last_step=step) == 1


def _use_of_paper(who: User, code: str) -> bool:
    row = _numbered(who, code)
    if row is None or not check_password(code[1:], row.hashed):
        return False
    return BackupCode.objects.filter(pk=row.pk, used_at=None).update(used_at=timezone.now()) == 1


def _numbered(who: User, code: str) -> BackupCode | None:
    """The row that this code would be, by the figure it begins with: one slow hash and not ten."""
    if len(code) != 1 + LETTERS_OF_A_CODE or code[0] not in "0123456789":
        return None
    number = int(code[0])
    return BackupCode.objects.filter(user=who).order_by("pk")[number : number + 1].first()


def _write_codes(who: User) -> list[str]:
    BackupCode.objects.filter(user=who).delete()
    words = ["".join(secrets.choice(LETTERS) for _ in range(LETTERS_OF_A_CODE)) for _ in range(BACKUP_CODES)]
    for word in words:
        BackupCode.objects.create(user=who, hashed=make_password(word))
    return _numbered_words(words)


def _numbered_words(words: Sequence[str]) -> list[str]:
    return [in_groups(f"{number}{word}") for number, word in enumerate(words)]
