"""The fields of an entry's form as the page shows them, from what was typed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from bodymaps.atlas import Atlas
from charting.treatment import clock, techniques
from charting.treatment.done import COUNT_IN, COUNT_OUT, DEPTH, DIRECTION, DOSE, GAUGE, LENGTH
from charting.treatment.forms import LABELS, Typed, Values, label_of
from charting.treatment.techniques import Ask, Limit
from charting.treatment.where import Where

TWITCH_WORDS = {"yes": "Yes", "no": "No", "NT": "Not looked for"}


@dataclass(frozen=True)
class Choice:
    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True)
class Shown:
    """One field. `kind`: "number", "choice", "many", "time" or "text"; `value` of what is typed; `offered`:
    words to take over into a text.
    """

    name: str
    label: str
    kind: str
    value: str = ""
    choices: tuple[Choice, ...] = ()
    error: str = ""
    needed: bool = False
    unit: str = ""
    least: int = 0
    most: int = 0
    longest: int = 0
    offered: tuple[str, ...] = ()

    @property
    def is_unsaid(self) -> bool:
        """Whether none of the choices is chosen."""
        return not any(each.is_chosen for each in self.choices)


def dose_fields(typed: Typed) -> tuple[Shown, ...]:
    known = techniques.load().get(typed.technique)
    return tuple(_asked(ask, typed) for ask in known.asks) if known else ()


def size_fields(typed: Typed) -> tuple[Shown, ...]:
    """Gauge and length, out of the trade sizes."""
    sizes = techniques.load().needle
    gauges = {f"{each:g}": f"{each:.2f}" for each in sizes.gauges_mm}
    lengths = {str(each): str(each) for each in sizes.lengths_mm}
    return (
        _chosen(GAUGE, "Gauge, mm", gauges, typed, needed=True),
        _chosen(LENGTH, "Length, mm", lengths, typed, needed=True),
    )


def way_fields(typed: Typed, *, needed: bool) -> tuple[Shown, ...]:
    """How deep and which way. `needed`: they have to be said."""
    sizes = techniques.load().needle
    depth = _number(DEPTH, "Depth, mm", sizes.depth_mm, typed, needed=needed)
    direction = Shown(
        name=DIRECTION,
        label="Direction",
        kind="text",
        value=first(typed.values, DIRECTION),
        error=typed.wrong.get(DIRECTION, ""),
        needed=needed,
        longest=techniques.LONGEST_DIRECTION,
        offered=sizes.directions,
    )
    return depth, direction


def count_fields(typed: Typed) -> tuple[Shown, ...]:
    limit = techniques.load().needle.count
    out = Limit(0, limit.most, limit.unit, limit.status)
    return (
        _number(COUNT_IN, "Needles in", limit, typed, needed=True),
        _number(COUNT_OUT, "Needles out", out, typed),
    )


def pain_fields(typed: Typed) -> tuple[Shown, ...]:
    """Before and after, each a row from 0 to 10."""
    limit = techniques.load().pain
    steps = {str(each): str(each) for each in range(limit.least, limit.most + 1)}
    named = (("pain_before", "Pain before"), ("pain_after", "Pain after"))
    return tuple(_chosen(name, label, steps, typed) for name, label in named)


def twitch_field(typed: Typed) -> Shown:
    return _chosen("twitch", "Twitch seen or felt", TWITCH_WORDS, typed)


def minutes_field(typed: Typed) -> Shown:
    return _number("minutes", "Minutes", techniques.load().minutes, typed)


def clock_fields(typed: Typed) -> tuple[Shown, ...]:
    """Time in and out."""
    return tuple(
        Shown(
            name, LABELS[name], "time", first(typed.values, name), error=typed.wrong.get(name, ""), longest=5
        )
        for name in (clock.BEGAN, clock.ENDED)
    )


def site_choices(at: Where, typed: Typed, known: Atlas) -> tuple[Choice, ...]:
    """The muscle as a whole, then its places; () where there is nothing to choose."""
    muscle = known.muscles.get(at.muscle)
    if muscle is None:
        return ()
    said = first(typed.values, "site")
    places = [("", "the muscle as a whole"), *((site.id, site.where) for site in muscle.sites)]
    return tuple(Choice(value, words, value == said) for value, words in places)


def first(values: Values, name: str) -> str:
    return next(iter(values.get(name, ())), "")


def wrong_lines(typed: Typed) -> tuple[tuple[str, str, str], ...]:
    """(field, what it is called, what to mend), for the list above the form."""
    return tuple((name, label_of(typed.technique, name), words) for name, words in typed.wrong.items())


def _asked(ask: Ask, typed: Typed) -> Shown:
    name = f"{DOSE}{ask.id}"
    if ask.limit:
        return _number(name, ask.label, ask.limit, typed, needed=ask.needed)
    if ask.kind == "text":
        value, error = first(typed.values, name), typed.wrong.get(name, "")
        return Shown(name, ask.label, "text", value, error=error, needed=ask.needed, longest=ask.longest)
    return _chosen(name, ask.label, ask.choices, typed, needed=ask.needed, kind=ask.kind)


def _number(name: str, label: str, limit: Limit, typed: Typed, *, needed: bool = False) -> Shown:
    return Shown(
        name=name,
        label=label,
        kind="number",
        value=first(typed.values, name),
        error=typed.wrong.get(name, ""),
        needed=needed,
        unit=limit.unit,
        least=limit.least,
        most=limit.most,
    )


def _chosen(
    name: str,
    label: str,
    words: Mapping[str, str],
    typed: Typed,
    *,
    needed: bool = False,
    kind: str = "choice",
) -> Shown:
    said = typed.values.get(name, ())
    return Shown(
        name=name,
        label=label,
        kind=kind,
        choices=_choices(words, said),
        error=typed.wrong.get(name, ""),
        needed=needed,
    )


def _choices(words: Mapping[str, str], said: Iterable[str]) -> tuple[Choice, ...]:
    chosen = set(said)
    return tuple(Choice(value, label, value in chosen) for value, label in words.items())
