"""Turns what a browser sends of one entry into what an entry holds; what can't be read stays as typed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import time
from typing import Any

from django.http import QueryDict

from charting.treatment import clock, done, techniques, where
from charting.treatment.done import (
    COUNT_IN,
    COUNT_OUT,
    DEPTH,
    DIRECTION,
    DOSE,
    GAUGE,
    LENGTH,
    NEEDLE_FIELDS,
    Done,
)
from charting.treatment.models import TreatmentEntry
from charting.treatment.techniques import Ask, Technique
from charting.treatment.where import Where

PLAIN = (
    "minutes",
    "began_at",
    "ended_at",
    "pain_before",
    "pain_after",
    "twitch",
    "remark",
    "site",
    "lies_in",
)
LABELS = {
    "place": "Where",
    "technique": "Technique",
    "minutes": "Minutes",
    "began_at": "Time in",
    "ended_at": "Time out",
    "pain_before": "Pain before",
    "pain_after": "Pain after",
    "twitch": "Twitch",
    "remark": "Remark",
    "site": "Place of the muscle",
    "lies_in": "Area it lies in",
    GAUGE: "Gauge",
    LENGTH: "Length",
    DEPTH: "Depth",
    DIRECTION: "Direction",
    COUNT_IN: "Needles in",
    COUNT_OUT: "Needles out",
}
Values = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Typed:
    """The form of one entry: `values` by field as typed, `wrong` what to mend by field. `version` of the
    entry that is changed; `after`: the newest entry the page showed.
    """

    technique: str
    at: Where
    values: Values
    version: int = 0
    after: int | None = None
    wrong: Mapping[str, str] = field(default_factory=dict)

    @property
    def said(self) -> Done:
        """What was typed as an entry holds it. What is no number stays a text, to be found wrong. Minutes
        that were left empty are counted from the clock.
        """
        known = techniques.load().get(self.technique)
        began, ended = clock.read(self._one("began_at")), clock.read(self._one("ended_at"))
        return Done(
            technique=self.technique,
            at=self.at,
            dose=_dose(known, self.values) if known else {},
            minutes=_whole(self._one("minutes")) or clock.length(began, ended),
            began_at=began,
            ended_at=ended,
            pain_before=_whole(self._one("pain_before")),
            pain_after=_whole(self._one("pain_after")),
            twitch=self._one("twitch"),
            needles=_needles(self.values) if known and known.needle else {},
            remark=self._one("remark"),
        )

    def _one(self, name: str) -> str:
        return one(self.values, name)


def one(values: Values, name: str) -> str:
    return next(iter(values.get(name, ())), "")


def read(sent: QueryDict) -> Typed:
    """A posted form, or a draft of it."""
    technique = sent.get("technique", "").strip()
    values = _values(sent, technique)
    return Typed(
        technique=technique,
        at=_place(where.parse(sent.get("place", "").strip()), values),
        values=values,
        version=int(version) if (version := sent.get("version", "")).isdecimal() else 0,
        after=int(after) if (after := sent.get("after", "")).isdecimal() else None,
    )


def of_done(said: Done, *, version: int = 0) -> Typed:
    """An entry as it stands in its form."""
    values: dict[str, Any] = {
        **{f"{DOSE}{name}": value for name, value in said.dose.items()},
        **said.needles,
        "minutes": said.minutes,
        "began_at": _clock(said.began_at),
        "ended_at": _clock(said.ended_at),
        "pain_before": said.pain_before,
        "pain_after": said.pain_after,
        "twitch": said.twitch,
        "remark": said.remark,
        "site": said.at.site,
        "lies_in": said.at.area if said.at.muscle else "",
    }
    return Typed(said.technique, said.at, {name: _texts(value) for name, value in values.items()}, version)


def counted_out(row: TreatmentEntry, sent: QueryDict) -> tuple[Done, int]:
    """The entry with the needles that came out, and the version it was shown in."""
    said, version = done.of(row), sent.get("version", "")
    needles = {**said.needles, COUNT_OUT: _whole(sent.get(COUNT_OUT, "").strip())}
    return replace(said, needles=needles), int(version) if version.isdecimal() else 0


def field_names(technique: str) -> tuple[str, ...]:
    known = techniques.load().get(technique)
    dose = tuple(f"{DOSE}{ask.id}" for ask in known.asks) if known else ()
    return (*dose, *(NEEDLE_FIELDS if known and known.needle else ()), *PLAIN)


def label_of(technique: str, name: str) -> str:
    """What a field is called where it is named alone."""
    known = techniques.load().get(technique)
    ask = known.ask(name.removeprefix(DOSE)) if known else None
    return ask.label if ask else LABELS.get(name, name.replace("_", " ").capitalize())


def words_of(technique: str, name: str, values: Sequence[str]) -> str:
    """Values in words, "" where nothing is recorded."""
    known = techniques.load().get(technique)
    ask = known.ask(name.removeprefix(DOSE)) if known else None
    choices = ask.choices if ask else {}
    return ", ".join(choices.get(each, each.replace("_", " ")) for each in values if each)


def _place(at: Where, values: Values) -> Where:
    if not at.muscle:
        return at
    return Where(at.muscle, at.side, one(values, "site"), one(values, "lies_in") if at.is_unplaced else "")


def _values(sent: QueryDict, technique: str) -> dict[str, tuple[str, ...]]:
    told = {name: [each.strip() for each in sent.getlist(name)] for name in field_names(technique)}
    return {name: tuple(filter(None, values)) for name, values in told.items() if any(values)}


def _dose(technique: Technique, values: Values) -> dict[str, Any]:
    told = [(ask, values.get(f"{DOSE}{ask.id}", ())) for ask in technique.asks]
    return {ask.id: _value(ask, given) for ask, given in told if given}


def _value(ask: Ask, given: tuple[str, ...]) -> Any:
    if ask.kind == "many":
        return list(given)
    return _whole(given[0]) if ask.kind == "number" else given[0]


def _needles(values: Values) -> dict[str, Any]:
    """What was not said stands as nothing: the counts and the sizes are told missing by done.check."""
    return {
        GAUGE: _size(one(values, GAUGE)),
        LENGTH: _whole(one(values, LENGTH)),
        DEPTH: _whole(one(values, DEPTH)),
        DIRECTION: one(values, DIRECTION),
        COUNT_IN: _whole(one(values, COUNT_IN)),
        COUNT_OUT: _whole(one(values, COUNT_OUT)),
    }


def _whole(text: str) -> Any:
    if not text:
        return None
    return int(text) if text.isdecimal() and len(text) < 6 else text


def _size(text: str) -> Any:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text or None


def _clock(at: time | None) -> str:
    return f"{at:%H:%M}" if at else ""


def _texts(value: Any) -> tuple[str, ...]:
    if value in (None, "", [], ()):
        return ()
    return tuple(map(str, value)) if isinstance(value, list | tuple) else (str(value),)
