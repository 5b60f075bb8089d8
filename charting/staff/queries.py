"""Every read of the people who work in a practice, and of who tried to sign in."""

from datetime import datetime, timedelta

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.crypto import salted_hmac

from charting.staff.models import Practice, SignInTry, User
from charting.staff.rights import may

# Wrong passwords within this time: that many for one name from one address, for one name from anywhere, and
# from one address for any name. Common practice, no standard: few enough that a password of 12 characters is
# not guessed, and the last two so far above the first that one forgetful person never reaches them.
WRONG_WITHIN = timedelta(minutes=15)
WRONG_TRIES = 5
WRONG_TRIES_OF_A_NAME = 25
WRONG_TRIES_FROM_AN_ADDRESS = 50


def clinicians_beside(user: User) -> tuple[User, ...]:
    """Everybody in the practice of `user` who may treat, by name. Nobody without a practice."""
    if user.practice is None:
        return ()
    by_name = user.practice.staff.filter(is_active=True).order_by("last_name", "first_name", "username")
    return tuple(each for each in by_name if may(each, "treat"))


def practice_named(name: str) -> Practice:
    """The practice of this name, or the only one there is for "". Raises LookupError that says what to do."""
    if name:
        found = Practice.objects.filter(name=name).first()
        if found is None:
            raise LookupError(f"There is no practice called {name!r}.")
        return found
    every = tuple(Practice.objects.order_by("name")[:20])
    if len(every) != 1:
        names = ", ".join(repr(one.name) for one in every)
        raise LookupError(f"Say which with --practice: {names}." if every else "There is no practice yet.")
    return every[0]


def anybody_can_sign_in() -> bool:
    """Whether there is anybody yet: someone active who belongs to a practice."""
    return User.objects.filter(is_active=True, practice__isnull=False).exists()


def name_digest(name: str) -> str:
    """A user name as it is counted: not to be read back without the practice's secret key."""
    return salted_hmac("charting.staff.SignInTry", name, algorithm="sha256").hexdigest()


def next_try_at(digest: str, address: str, *, among_it: int = 0) -> datetime | None:
    """When this name may be tried again from this address, or None: now. `among_it`: how many of the tries on
    record are the one that asks.

    A right password wipes out the wrong ones before it, of that name at that address only.
    """
    recent = SignInTry.objects.filter(at__gt=timezone.now() - WRONG_WITHIN)
    of_name, from_address = recent.filter(name_digest=digest), recent.filter(address=address)
    pair = of_name.filter(address=address)
    right = pair.filter(was_right=True).order_by("-at").values_list("at", flat=True).first()
    limits = (
        (pair.filter(at__gt=right) if right else pair, WRONG_TRIES),
        (of_name, WRONG_TRIES_OF_A_NAME),
        (from_address, WRONG_TRIES_FROM_AN_ADDRESS),
    )
    ends = [_end_of_wait(tries, most + among_it) for tries, most in limits]
    return max((end for end in ends if end), default=None)


def _end_of_wait(tries: QuerySet[SignInTry], most: int) -> datetime | None:
    """When the oldest of the last `most` wrong tries is forgotten; None when there are fewer."""
    wrong = tries.filter(was_right=False).order_by("-at").values_list("at", flat=True)
    oldest = wrong[most - 1 : most].first()
    return oldest + WRONG_WITHIN if oldest else None
