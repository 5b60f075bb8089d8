"""Count drawings that were signed before there were cells to count."""

from django.db import transaction

from charting.audit.services import record
from charting.drawing.cells import keep_cells
from charting.review.queries import to_fill_in
from charting.staff.models import User
from charting.staff.rights import require

# So many in one go: some ten seconds.
AT_ONCE = 200


@transaction.atomic
def fill_in(*, who: User, at_once: int = AT_ONCE) -> int:
    """Count the drawings of the earliest of them; how many they were. Raises PermissionDenied.

    Changes nothing of the record: the cells follow from drawings that are signed.
    """
    require(who, "see review")
    visits = tuple(to_fill_in(who)[:at_once])
    keep_cells(visits)
    if visits and who.practice:
        record(who=who, did="counted drawings", what=who.practice, count=len(visits))
    return len(visits)
