"""Every write to a visit itself, and the guard that every write inside a visit begins with."""

from django.core.exceptions import PermissionDenied

from charting.visits.models import Visit


class VisitSigned(PermissionDenied):
    """The note is signed: what was recorded in this visit is closed."""

    def __init__(self) -> None:
        super().__init__("This visit is signed, so it can't change any more. Write an addendum to its note.")


def require_open(visit: Visit) -> None:
    """Raise VisitSigned when the visit is signed. Call it first, inside the transaction of the write.

    Locks the visit's row, so that nothing slips in while its note is being signed (SQLite has one
    writer for the whole file and needs no lock).
    """
    if Visit.objects.select_for_update().values_list("signed_at", flat=True).get(pk=visit.pk) is not None:
        raise VisitSigned
