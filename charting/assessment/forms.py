"""Turns what a browser sends about one area into clean values.

No Django form: which sources and sentences stand on the page follows from the record.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from django.http import QueryDict

from bodymaps.atlas import Atlas
from charting.assessment import certainty
from charting.assessment.choices import sides_in
from charting.assessment.made import Made, name_of, sided
from charting.assessment.writing import Asked
from charting.assessment.written import By, Written
from charting.atlas import names
from charting.atlas.kinds import KINDS, entries

LONGEST, LONGEST_NAME = 2000, 120
SOURCE, TEXT = "c-", "t-"
BUTTONS = ("remove", "renew", "keep")
# What the atlas calls a layer, and what an order of candidates does.
LAYERS = {"pattern": "muscle", "dermatome": "root"}
SIDES = ("left", "right")
# So many names are read out where several fit what was typed.
MOST_NAMES = 6


class Problem(NamedTuple):
    """What is wrong with one field."""

    field: str
    words: str


@dataclass(frozen=True)
class Typed:
    """What stands in the form of one area. `stroke` names the area, "" for the visit as a whole; `where` what
    it was called. `version` is that of the words the page showed, 0 for none. `other`: a source by name.
    """

    stroke: str = ""
    where: str = ""
    version: int = 0
    certainty: Mapping[By, str] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    take: frozenset[str] = frozenset()
    take_all: bool = False
    buttons: Mapping[str, frozenset[str]] = field(default_factory=dict)
    own: str = ""
    other: str = ""
    other_certainty: str = ""
    problems: tuple[Problem, ...] = ()

    def problem_of(self, name: str) -> str:
        return next((problem.words for problem in self.problems if problem.field == name), "")

    def asked(self, known: Atlas, said: Written, offered: tuple[Made, ...]) -> Asked:
        """What is asked for; call it for what has no problems. `offered`: what "take all" takes."""
        found = by_name(self.other, known) if self.other else None
        added = {found: self.other_certainty} if isinstance(found, tuple) else {}
        chosen = {**self.certainty, **added}
        return Asked(
            certainty=chosen,
            names={by: name_of(by, known) for by in chosen if not said.source(by)},
            texts=self.texts,
            take=self.take | ({made.key for made in offered} if self.take_all else frozenset()),
            own=self.own,
            **self.buttons,
        )


def read(sent: QueryDict) -> Typed:
    """What was sent, or kept as a draft. What is wrong with it: `checked`."""
    version = sent.get("version", "")
    return Typed(
        stroke=sent.get("stroke", "")[:60],
        where=sent.get("where", "")[:200],
        version=int(version) if version.isdecimal() and len(version) < 9 else 0,
        certainty=dict(_certainty(sent)),
        texts={key.removeprefix(TEXT): _text(sent, key) for key in sent if key.startswith(TEXT)},
        take=frozenset(sent.getlist("take")),
        take_all="take_all" in sent,
        buttons={name: frozenset(sent.getlist(name)) for name in BUTTONS},
        own=_text(sent, "own"),
        other=_text(sent, "other"),
        other_certainty=sent.get("other_certainty", ""),
    )


def problems_in(typed: Typed, known: Atlas, said: Written) -> tuple[Problem, ...]:
    """Everything that is wrong with it, in the order of the page."""
    return tuple(_problems(typed, known, said))


def by_name(text: str, known: Atlas) -> By | str:
    """The source that was typed ("Infraspinatus, left"), or in words why it is none."""
    exact = labels(known).get(text.casefold())
    if exact:
        return exact
    said, side = _without_side(text)
    found = (
        [(_layer(one.kind.layer), one.id) for one in names.found(known, said)] if names.plain(said) else []
    )
    alike = [one for one in found if names.plain(name_of((*one, ""), known)) == names.plain(said)]
    found = alike or found
    if not found:
        return (
            f"The atlas knows no “{text}”. Choose a name from the list, or write it in your own words below."
        )
    if len(found) > 1:
        named = ", ".join(name_of((*one, ""), known) for one in found[:MOST_NAMES])
        return (
            f"Several fit: {named}{' and more' if len(found) > MOST_NAMES else ''}. Choose one from the list."
        )
    return _on_side(found[0], side, known)


@lru_cache(maxsize=8)
def labels(known: Atlas) -> dict[str, By]:
    """Every source that can be named, by "infraspinatus, left"."""
    found = (
        (layer, name, side)
        for kind in KINDS
        for layer in (_layer(kind.layer),)
        for name in entries(known, kind)
        for side in sides_in(layer, name, known)
    )
    return {label_of(by, known).casefold(): by for by in found}


@lru_cache(maxsize=8)
def offered_names(known: Atlas) -> tuple[str, ...]:
    return tuple(label_of(by, known) for by in labels(known).values())


def label_of(by: By, known: Atlas) -> str:
    return sided(name_of(by, known), by[2])


def _on_side(one: tuple[str, str], side: str, known: Atlas) -> By | str:
    held = sides_in(*one, known)
    if len(held) == 1:
        return (*one, held[0])
    if side:
        return (*one, side)
    return f"Say which side: “{name_of((*one, ''), known)}, left” or “, right”."


def _without_side(text: str) -> tuple[str, str]:
    """("infraspinatus", "left"); the side is the last word or the first."""
    words = text.replace(",", " ").split()
    for place in (-1, 0):
        if len(words) > 1 and words[place].casefold() in SIDES:
            side = words.pop(place).casefold()
            return " ".join(words), side
    return " ".join(words), ""


def _layer(layer: str) -> str:
    return LAYERS.get(layer, layer)


def _certainty(sent: QueryDict) -> Iterator[tuple[By, str]]:
    for key in sent:
        parts = key.removeprefix(SOURCE).split(".") if key.startswith(SOURCE) else []
        if len(parts) == 3:
            yield (parts[0], parts[1], parts[2]), sent.get(key, "")


def _text(sent: QueryDict, name: str) -> str:
    """With the line ends of the record, whatever the browser sends."""
    return sent.get(name, "").replace("\r\n", "\n").strip()


def _problems(typed: Typed, known: Atlas, said: Written) -> Iterator[Problem]:
    words = certainty.load().ids
    for by, word in typed.certainty.items():
        is_known = said.source(by) or by[2] in sides_in(by[0], by[1], known)
        if word and not (word in words and is_known):
            yield Problem(f"{SOURCE}{'.'.join(by)}", "This source can't be named. Open the page once more.")
    yield from _problems_of_other(typed, known, words)
    for key, text in (*((f"{TEXT}{key}", text) for key, text in typed.texts.items()), ("own", typed.own)):
        if len(text) > LONGEST:
            yield Problem(key, f"At most {LONGEST} signs; here are {len(text)}.")


def _problems_of_other(typed: Typed, known: Atlas, words: tuple[str, ...]) -> Iterator[Problem]:
    found = by_name(typed.other, known) if typed.other else ""
    if found and isinstance(found, str):
        yield Problem("other", found)
    elif found and typed.other_certainty not in words:
        yield Problem("other_certainty", "Say how certain it is.")
    elif typed.other_certainty and not typed.other:
        yield Problem("other", "Name the source, or take the certainty back.")
