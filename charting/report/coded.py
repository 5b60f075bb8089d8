"""The diagnosis codes of a visit, as the note keeps them. Plain data."""

from typing import Any

from charting.coding.queries import codes_of
from charting.visits.models import Visit


def coded(visit: Visit) -> list[dict[str, Any]]:
    """In their order, the main code first: `code`, `title`, `release` of the table, `is_main`, `by`,
    and the `cautions` about drawing, side and site (sentences) with the `reason` why the code was kept.
    Empty where none was chosen. One query.
    """
    return [
        {
            "code": row.code,
            "title": row.title,
            "release": row.release,
            "is_main": place == 0,
            "cautions": list(row.cautions),
            "reason": row.reason,
            "by": str(row.chosen_by),
        }
        for place, row in enumerate(codes_of(visit))
    ]
