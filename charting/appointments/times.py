"""Days and times by the clock of a practice, on days with a change of the clock too."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo


def day_bounds(day: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The first moment of a day and that of the next: 23, 24 or 25 hours later."""
    return datetime.combine(day, time.min, zone), datetime.combine(day + timedelta(days=1), time.min, zone)


def at_clock(day: date, at: time, zone: ZoneInfo) -> datetime | None:
    """The moment the clock shows `at` on `day`, the first one where it shows it twice; None where the clock
    is set forward past it.
    """
    when = datetime.combine(day, at, zone)
    back = when.astimezone(UTC).astimezone(zone)
    return when if back.replace(tzinfo=None) == when.replace(tzinfo=None) else None


def in_words(when: datetime, zone: ZoneInfo) -> str:
    """ "4 May 2026, 14:05" """
    there = when.astimezone(zone)
    return f"{there.day} {there:%B %Y, %H:%M}"


def day_typed(text: str) -> date | None:
    """The day of an address, "2026-05-04"; None for anything else, and for years no calendar shows."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if 1900 <= day.year < 2200 else None
