"""What a follow-up visit brings forward from earlier ones of the same complaint; the rest is asked again."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps.reasoning import items
from charting.history.models import Story, StoryAnswer
from charting.history.queries import value
from charting.visits.models import Visit

FILE = Path(__file__).parent / "carried.toml"


class CarriedError(ValueError):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Brought:
    """One answer to be brought: in words, and the visit that asked it."""

    key: str
    label: str
    words: str
    row: StoryAnswer
    asked_in: Visit


@dataclass(frozen=True)
class Offer:
    """What can be brought forward, and how the last visit put it in words. `visit`: the last one before."""

    visit: Visit
    complaint: str
    history: str
    brought: tuple[Brought, ...]


@cache
def stable() -> tuple[str, ...]:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> tuple[str, ...]:
    """The keys of what seldom changes. Raises CarriedError."""
    keys = tuple(data.get("stable", ()))
    known = {item.key for group in items.history().on_page("story") for item in group.items}
    if strange := [key for key in keys if key not in known]:
        raise CarriedError(f"stable: no such question of the story: {', '.join(strange)}")
    if len(set(keys)) != len(keys):
        raise CarriedError("stable: a key stands twice")
    return keys


def offer(visit: Visit) -> Offer | None:
    """None for a first visit of a complaint, a signed one, and once all of it is here. Three queries."""
    if visit.is_signed:
        return None
    story = Story.objects.filter(visit__in=_before(visit)).select_related("visit")
    last = story.order_by("-visit__started_at").first()
    brought = to_bring(visit)
    return Offer(last.visit, last.complaint, last.history, brought) if last and brought else None


def to_bring(visit: Visit) -> tuple[Brought, ...]:
    """The last answer to each stable question of the complaint that this visit has not answered yet."""
    here = set(StoryAnswer.objects.filter(visit=visit).values_list("key", flat=True))
    rows = StoryAnswer.objects.filter(visit__in=_before(visit), key__in=set(stable()) - here)
    last = {
        row.key: row for row in rows.select_related("visit", "carried_from").order_by("visit__started_at")
    }
    known = items.history().items
    return tuple(
        Brought(
            key,
            known[key].label,
            known[key].words_for(value(last[key].value)),
            last[key],
            last[key].carried_from or last[key].visit,
        )
        for key in stable()
        if key in last
    )


def _before(visit: Visit) -> Any:
    """The earlier visits of the same complaint."""
    return Visit.objects.filter(
        patient=visit.patient_id, episode=visit.episode_id, started_at__lt=visit.started_at
    )
