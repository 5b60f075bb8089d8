"""Time in and out of one treatment, by the clock of the practice; within one day."""

import re
from collections.abc import Iterator
from datetime import datetime, time
from typing import Any

from charting.treatment.techniques import Limit

BEGAN, ENDED = "began_at", "ended_at"
CLOCK = re.compile(r"([01]?[0-9]|2[0-3])[:.]([0-5][0-9])")


def read(text: str) -> Any:
    """ "14:05", "14.05" as a time; "" as None; anything else stays a text, to be found wrong."""
    found = CLOCK.fullmatch(text)
    return time(int(found[1]), int(found[2])) if found else text or None


def length(began: Any, ended: Any) -> int | None:
    """Minutes from one to the other, None unless both are times of one day in their order."""
    if not (isinstance(began, time) and isinstance(ended, time)) or ended <= began:
        return None
    day = datetime(2000, 1, 1)  # noqa: DTZ001 - a day to subtract on, no moment
    return int((datetime.combine(day, ended) - datetime.combine(day, began)).total_seconds() // 60)


def wrong(began: Any, ended: Any, minutes: Any, limit: Limit) -> Iterator[tuple[str, str]]:
    """(field, what to mend), the clash of clock and minutes too."""
    for name, value in ((BEGAN, began), (ENDED, ended)):
        if value is not None and not isinstance(value, time):
            yield name, "Enter the time as hours and minutes: 14:05."
    if began is None and isinstance(ended, time):
        yield BEGAN, "Enter when it began too."
    if isinstance(began, time) and isinstance(ended, time):
        yield from _wrong_span(began, ended, minutes, limit)


def words(began: time | None, ended: time | None) -> str:
    """ "14:05 to 14:20", "from 14:05", "" """
    if began is None:
        return ""
    return f"{began:%H:%M} to {ended:%H:%M}" if ended else f"from {began:%H:%M}"


def _wrong_span(began: time, ended: time, minutes: Any, limit: Limit) -> Iterator[tuple[str, str]]:
    taken = length(began, ended)
    if taken is None:
        yield ENDED, "It has to end after it began."
    elif limit.wrong(taken):
        yield ENDED, f"From {words(began, ended)} are {taken} minutes: at most {limit.most}."
    elif isinstance(minutes, int) and minutes != taken:
        yield "minutes", f"From {words(began, ended)} are {taken} minutes, not {minutes}. Mend one of them."
