"""The one write of a home programme."""

from collections.abc import Iterable
from dataclasses import asdict

from django.db import transaction

from charting.audit.services import record
from charting.drafts.services import forget
from charting.staff.models import User
from charting.staff.rights import require
from charting.treatment.home import Item, checked
from charting.treatment.models import HomeProgramme
from charting.versioning import Stale, save_if_current
from charting.visits.models import Visit
from charting.visits.services import require_open


def home_draft(visit: Visit) -> str:
    return f"home:{visit.pk}"


@transaction.atomic
def save_home(*, who: User, visit: Visit, version: int, items: Iterable[Item], words: str) -> HomeProgramme:
    """Keep what the patient does at home. `version` is that of the row that was shown, 0 for none.

    Raises WrongItem; Stale with the row as it stands; VisitSigned.
    """
    require(who, "treat")
    require_open(visit)
    said = checked(items, words)
    kept = {"items": [asdict(item) for item in said.items], "words": said.words}
    row = HomeProgramme.objects.filter(visit=visit).first()
    if row is None:
        row = HomeProgramme.objects.create(visit=visit, **kept)
    elif any(getattr(row, name) != value for name, value in kept.items()):
        if version != row.version:
            raise Stale(row)
        save_if_current(row, version=version, **kept)
    forget(who=who, key=home_draft(visit))
    record(who=who, did="wrote home programme", what=visit, items=len(said.items), version=row.version)
    return row
