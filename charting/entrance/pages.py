"""What the day page may use."""

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from charting.visits.models import Visit


@dataclass(frozen=True)
class TodayPage:
    """The day: what is open and to be finished."""

    MOST: ClassVar[int] = 50
    MOST_SIGNED: ClassVar[int] = 5

    now: datetime
    open_visits: tuple[Visit, ...]
    signed_last: tuple[Visit, ...]
    # Whether this person may read the chart, or only hand the device over.
    opens: bool
