"""What is printed beside the content of a visit: the signature, and words added afterwards."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo


@dataclass(frozen=True)
class Signature:
    """Who signed, as what, when, and what the signature means (the items of 21 CFR 11.50)."""

    name: str
    title: str
    registration: str
    meaning: str
    at: datetime
    time_zone: str

    @property
    def when(self) -> str:
        return moment(self.at, self.time_zone)

    def as_json(self) -> dict[str, Any]:
        """Plain data for the signed content, so that its hash covers the signature too."""
        return {
            "name": self.name,
            "title": self.title,
            "registration": self.registration,
            "meaning": self.meaning,
            "at": self.at.isoformat(),
            "time_zone": self.time_zone,
            "when": self.when,
        }


@dataclass(frozen=True)
class Added:
    """One addendum as it is printed after the original."""

    number: int
    author: str
    title: str
    when: str
    text: str


def day(value: date) -> str:
    """25 November 2026: English whatever the language setting, for it stays in the record."""
    return f"{value.day} {value:%B} {value.year}"


def moment(at: datetime, time_zone: str) -> str:
    """A time that can't be misread elsewhere: 25 November 2026, 14:05 CET (UTC+01:00, Europe/Zurich).

    A practice that keeps UTC itself gets it said once: 25 November 2026, 13:05 UTC.
    """
    local = at.astimezone(ZoneInfo(time_zone))
    if local.tzname() == "UTC":
        return clock(at, time_zone)
    offset = f"{local:%z}"
    return f"{clock(at, time_zone)} (UTC{offset[:3]}:{offset[3:]}, {time_zone})"


def clock(at: datetime, time_zone: str) -> str:
    """A time within a note whose head tells the zone in full: 25 November 2026, 14:05 CET."""
    local = at.astimezone(ZoneInfo(time_zone))
    return f"{day(local)}, {local:%H:%M} {local.tzname()}"


def stopped(text: str) -> str:
    """Typed words as a sentence among others: with a full stop, unless they end in one."""
    text = text.strip()
    return text if not text or text[-1] in ".!?" else f"{text}."
