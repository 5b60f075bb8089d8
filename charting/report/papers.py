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
    # What somebody who co-signs says beside it: no part of the signed content.
    words: str = ""

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
    """What was written into the note afterwards, as it is printed after the original. `day`: the day of the
    visit, "" for an addendum of the time when there was one kind only, which prints as it did then.
    `of_day`: the day that new information is of; `wrong`: the words of the note that a correction is about;
    `asked`: who asked for an amendment, and when it was accepted.
    """

    number: int
    author: str
    title: str
    when: str
    text: str
    kind: str = "addendum"
    label: str = "Addendum"
    day: str = ""
    of_day: str = ""
    wrong: str = ""
    asked: str = ""

    @property
    def name(self) -> str:
        """ "Correction 2": numbered through, whatever the kind."""
        return f"{self.label} {self.number}"

    @property
    def on(self) -> str:
        """The day of writing, without the time."""
        return self.when.partition(",")[0]


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
