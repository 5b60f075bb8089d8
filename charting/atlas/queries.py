"""What the practice of a member of staff has in its atlas. The one place that knows where it comes from."""

from collections.abc import Mapping

from bodymaps import alike
from bodymaps import atlas as release
from bodymaps.atlas import Atlas
from charting.atlas import names, shown
from charting.patterns.queries import atlas_for
from charting.staff.models import User


def warm_up() -> None:
    """Make once what every page of the atlas needs (about a second), and not in front of somebody."""
    known = release.load()
    names.everything(known)
    shown.bodies()
    alike.same_area(known)


def atlas_of(user: User) -> Atlas:
    """The atlas of the practice, its own patterns in place of those they replace."""
    return atlas_for(user.practice)


def same_area(known: Atlas) -> Mapping[str, tuple[str, ...]]:
    """For a muscle the others whose patterns cannot tell it apart from them; none where it stands alone."""
    return alike.same_area(known)
