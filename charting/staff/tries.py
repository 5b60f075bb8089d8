"""Wrong passwords and codes at the way in, counted: nobody guesses one, and nobody keeps a colleague out.

A try is counted under the name and the address it came with. On a device that is known to be this person's
(charting.staff.known_device) it is counted under that device alone: whatever strangers do, it stays open.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.crypto import salted_hmac

from charting.audit.services import record
from charting.staff.models import SignInTry, User

# Wrong ones within this time: that many for one name from one address or on a device that is known, for one
# name from all others together, and from one address for any name. Common practice, no standard: few enough
# that a password of 12 characters is not guessed (with all of them at work 100 an hour for one name, and 20
# on each known device; ASVS 6.1.1 has it written down), and the last two so far above the first that one
# forgetful person never reaches them.
WRONG_WITHIN = timedelta(minutes=15)
WRONG_TRIES = 5
WRONG_TRIES_OF_A_NAME = 25
WRONG_TRIES_FROM_AN_ADDRESS = 50
FORGOTTEN_AFTER = timedelta(days=1)

WRONG_AT_SIGN_IN = "gave a wrong password at sign-in"  # noqa: S105 - the name of an audit action
WRONG_CODE = "gave a wrong code at sign-in"
# No name that is typed can begin with it: forms refuse it.
APART = "\0"


@dataclass(frozen=True)
class Visitor:
    """Somebody who gave a wrong password: nobody knows who it was, only whose name was given."""

    audit_practice_id: int | None
    audit_name: str = "somebody not signed in"
    audit_role: str = ""
    audit_user_id: int | None = None


class MustWait(Exception):
    """Too many wrong ones; `until` is when the next one may be given."""

    def __init__(self, until: datetime) -> None:
        self.until = until
        super().__init__(f"Too many wrong passwords. The next may be given at {until:%H:%M:%S %Z}.")


@dataclass(frozen=True)
class Counted:
    """What a try is counted under."""

    digest: str
    address: str
    on_known_device: bool = False


def password_of(name: str, *, address: str, device: str = "") -> Counted:
    """`device`: the name of the device, where it is known to be this person's."""
    return _counted(name, address, device)


def code_of(user: User, *, address: str, device: str = "") -> Counted:
    return _counted(f"{APART}code{APART}{user.pk}", address, device)


def known_password_of(user: User, *, address: str) -> Counted:
    """Of somebody who is signed in and gives the password once more."""
    return _counted(f"{APART}again{APART}{user.pk}", address, "")


def digest_of(name: str) -> str:
    """A user name as it is counted: not to be read back without the practice's secret key."""
    return salted_hmac("charting.staff.SignInTry", name, algorithm="sha256").hexdigest()


def begin(counted: Counted) -> SignInTry:
    """Put the try on record before the password is looked at, so that a hundred at the same moment do not all
    find the count low. Raises MustWait, and then nothing is counted: waiting is never made longer.
    """
    _raise_if(next_try_at(counted))
    SignInTry.objects.filter(at__lt=timezone.now() - FORGOTTEN_AFTER).delete()
    row = SignInTry.objects.create(name_digest=counted.digest, address=counted.address)
    until = next_try_at(counted, among_it=1)
    if until:
        row.delete()
    _raise_if(until)
    return row


def was_right(row: SignInTry) -> None:
    SignInTry.objects.filter(pk=row.pk).update(was_right=True)


@transaction.atomic
def was_wrong(*, row: SignInTry, counted: Counted, named: User | None, did: str = WRONG_AT_SIGN_IN) -> None:
    """Written down with the address and whose name it was, if anybody's."""
    waits = next_try_at(counted) is not None
    visitor = Visitor(named.practice_id if named else None)
    record(who=visitor, did=did, what=named or row, address=row.address, must_wait=waits)


def next_try_at(counted: Counted, *, among_it: int = 0) -> datetime | None:
    """When the next one may be given, or None: now. `among_it`: how many of the tries on record are the one
    that asks.

    A right one wipes out the wrong ones before it, of that name at that address or device only.
    """
    recent = SignInTry.objects.filter(at__gt=timezone.now() - WRONG_WITHIN)
    of_name = recent.filter(name_digest=counted.digest)
    own = of_name if counted.on_known_device else of_name.filter(address=counted.address)
    right = own.filter(was_right=True).order_by("-at").values_list("at", flat=True).first()
    limits = [(own.filter(at__gt=right) if right else own, WRONG_TRIES)]
    if not counted.on_known_device:
        from_address = recent.filter(address=counted.address)
        limits += [(of_name, WRONG_TRIES_OF_A_NAME), (from_address, WRONG_TRIES_FROM_AN_ADDRESS)]
    ends = [_end_of_wait(tries, most + among_it) for tries, most in limits]
    return max((end for end in ends if end), default=None)


def _counted(name: str, address: str, device: str) -> Counted:
    return Counted(digest_of(f"{APART}{device}{APART}{name}" if device else name), address, bool(device))


def _end_of_wait(tries: QuerySet[SignInTry], most: int) -> datetime | None:
    """When the oldest of the last `most` wrong tries is forgotten; None when there are fewer."""
    wrong = tries.filter(was_right=False).order_by("-at").values_list("at", flat=True)
    oldest = wrong[most - 1 : most].first()
    return oldest + WRONG_WITHIN if oldest else None


def _raise_if(until: datetime | None) -> None:
    if until:
        raise MustWait(until)
