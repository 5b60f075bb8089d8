"""Every read of the people who work in a practice."""

from charting.staff.models import User
from charting.staff.rights import may


def clinicians_beside(user: User) -> tuple[User, ...]:
    """Everybody in the practice of `user` who may treat, by name. Nobody without a practice."""
    if user.practice is None:
        return ()
    by_name = user.practice.staff.filter(is_active=True).order_by("last_name", "first_name", "username")
    return tuple(each for each in by_name if may(each, "treat"))
