"""What an entry may hold: `check` names every field that can't stay, and what to mend. Limits:
techniques.toml.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import time
from typing import Any

from bodymaps.atlas import Atlas
from charting.treatment import clock, techniques, where
from charting.treatment.models import TreatmentEntry
from charting.treatment.techniques import Ask, Technique
from charting.treatment.where import Where

LONGEST_REMARK = 500
# Before the name of a member of the dose, where fields are named.
DOSE = "dose_"
TWITCH = ("yes", "no", "NT", "")
GAUGE, LENGTH, DEPTH, DIRECTION = "gauge_mm", "length_mm", "depth_mm", "direction"
COUNT_IN, COUNT_OUT = "count_in", "count_out"
NEEDLE_FIELDS = (GAUGE, LENGTH, DEPTH, DIRECTION, COUNT_IN, COUNT_OUT)
OVER_THE_LUNG = "Needed for this muscle: the lung lies near."


class WrongEntry(ValueError):
    """Values that an entry can't hold: by field (`place`, `technique`, a member of dose or needles, ...)."""

    def __init__(self, wrong: Mapping[str, str]) -> None:
        super().__init__("; ".join(f"{name}: {words}" for name, words in wrong.items()))
        self.wrong = dict(wrong)


@dataclass(frozen=True)
class Done:
    """One technique on one place. `dose` by id of what the technique asks, what was not said left out;
    `twitch`: "yes", "no", "NT" (not looked for) or ""; `needles` by NEEDLE_FIELDS, {} without needles;
    `count_out` of None is not counted yet; `began_at`, `ended_at` by the clock of the practice.
    """

    technique: str
    at: Where
    dose: Mapping[str, Any] = field(default_factory=dict)
    minutes: int | None = None
    began_at: time | None = None
    ended_at: time | None = None
    pain_before: int | None = None
    pain_after: int | None = None
    twitch: str = ""
    needles: Mapping[str, Any] = field(default_factory=dict)
    remark: str = ""

    @property
    def columns(self) -> dict[str, Any]:
        """As TreatmentEntry holds it."""
        return {
            "technique": self.technique,
            "muscle": self.at.muscle,
            "site": self.at.site,
            "side": self.at.side,
            "area": self.at.area,
            "dose": dict(self.dose),
            "minutes": self.minutes,
            "began_at": self.began_at,
            "ended_at": self.ended_at,
            "pain_before": self.pain_before,
            "pain_after": self.pain_after,
            "twitch": self.twitch,
            "needles": dict(self.needles),
            "remark": self.remark,
        }

    @property
    def without_results(self) -> "Done":
        """What can be done again another day: where, and how much of it; nothing that is found out anew each
        time.
        """
        return Done(self.technique, self.at, dose=self.dose)


def of(row: TreatmentEntry) -> Done:
    return Done(
        technique=row.technique,
        at=where.of(row),
        dose=dict(row.dose),
        minutes=row.minutes,
        began_at=row.began_at,
        ended_at=row.ended_at,
        pain_before=row.pain_before,
        pain_after=row.pain_after,
        twitch=row.twitch,
        needles=dict(row.needles),
        remark=row.remark,
    )


def check(said: Done, known: Atlas, *, needs_way: bool) -> None:
    """Raises WrongEntry with every field that can't stay. `needs_way`: depth and direction must be said."""
    found = dict(wrong(said, known, needs_way=needs_way))
    if found:
        raise WrongEntry(found)


def wrong(said: Done, known: Atlas, *, needs_way: bool) -> Iterator[tuple[str, str]]:
    """(field, what to mend)"""
    technique = techniques.load().get(said.technique)
    if technique is None:
        yield "technique", "Choose a technique of the list."
        return
    if said.at.kind not in technique.on:
        yield "place", f"{technique.label} is not recorded for this: {_kinds(technique)}."
    elif words := where.wrong(said.at, known):
        yield "place", words
    elif technique.procedure and not said.at.consent_keys:
        yield "lies_in", "Choose the area it lies in: consent names areas."
    yield from _wrong_dose(technique, said.dose)
    yield from _wrong_numbers(technique, said)
    if said.twitch not in TWITCH or (said.twitch and not technique.twitch):
        yield "twitch", "Choose yes, no or not looked for." if technique.twitch else "Not asked here."
    if len(said.remark) > LONGEST_REMARK:
        yield "remark", f"At most {LONGEST_REMARK} signs."
    yield from _wrong_needles(technique, said.needles, needs_way)


def _kinds(technique: Technique) -> str:
    words = {"muscle": "a muscle", "area": "an area", "whole": "the person as a whole"}
    return "choose " + " or ".join(words[each] for each in technique.on)


def _wrong_dose(technique: Technique, dose: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for name in dose:
        if technique.ask(name) is None:
            yield f"{DOSE}{name}", f"{technique.label} does not ask for this."
    for ask in technique.asks:
        if ask.id in dose and (words := _wrong_value(ask, dose[ask.id])):
            yield f"{DOSE}{ask.id}", words
        elif ask.needed and ask.id not in dose:
            yield f"{DOSE}{ask.id}", "Choose one." if ask.choices else "This is needed."


def _wrong_value(ask: Ask, value: Any) -> str:
    if ask.limit:
        return ask.limit.wrong(value)
    if ask.kind == "text":
        fits = isinstance(value, str) and value.strip() and len(value) <= ask.longest
        return "" if fits else f"At most {ask.longest} signs."
    values = value if ask.kind == "many" and isinstance(value, list) else [value]
    is_known = bool(values) and all(isinstance(each, str) and each in ask.choices for each in values)
    return "" if is_known else "Choose from the list."


def _wrong_numbers(technique: Technique, said: Done) -> Iterator[tuple[str, str]]:
    limits = techniques.load()
    if said.minutes is not None and (words := limits.minutes.wrong(said.minutes)):
        yield "minutes", words
    yield from clock.wrong(said.began_at, said.ended_at, said.minutes, limits.minutes)
    for name, value in (("pain_before", said.pain_before), ("pain_after", said.pain_after)):
        if value is None:
            continue
        if not technique.pain:
            yield name, "Not asked here."
        elif words := limits.pain.wrong(value):
            yield name, words


def _wrong_needles(
    technique: Technique, said: Mapping[str, Any], needs_way: bool
) -> Iterator[tuple[str, str]]:
    if not technique.needle:
        if said:
            yield GAUGE, f"{technique.label} has no needles."
        return
    sizes = techniques.load().needle
    if said.get(GAUGE) not in sizes.gauges_mm:
        yield GAUGE, "Choose the gauge."
    if said.get(LENGTH) not in sizes.lengths_mm:
        yield LENGTH, "Choose the length."
    yield from _wrong_way(said, needs_way)
    if words := sizes.count.wrong(said.get(COUNT_IN)):
        yield COUNT_IN, words
    out = said.get(COUNT_OUT)
    if out is not None and (words := replace(sizes.count, least=0).wrong(out)):
        yield COUNT_OUT, words
    for name in set(said) - set(NEEDLE_FIELDS):
        yield name, "No such field."


def _wrong_way(said: Mapping[str, Any], needs_way: bool) -> Iterator[tuple[str, str]]:
    depth, length = said.get(DEPTH), said.get(LENGTH)
    limit = techniques.load().needle.depth_mm
    if depth is None:
        if needs_way:
            yield DEPTH, OVER_THE_LUNG
    elif words := limit.wrong(depth):
        yield DEPTH, words
    elif isinstance(length, int | float) and depth > length:
        yield DEPTH, f"Deeper than the needle is long ({length:g} mm)."
    direction = said.get(DIRECTION, "")
    if needs_way and not direction.strip():
        yield DIRECTION, OVER_THE_LUNG
    elif len(direction) > techniques.LONGEST_DIRECTION:
        yield DIRECTION, f"At most {techniques.LONGEST_DIRECTION} signs."
