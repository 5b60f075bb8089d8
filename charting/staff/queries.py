"""Every read of the people who work in a practice."""

from charting.staff.models import Practice, User
from charting.staff.rights import may


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
