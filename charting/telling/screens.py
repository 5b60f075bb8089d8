"""What a patient is asked alone, screen by screen: the catalogue's groups in the order of screens.toml."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from bodymaps.reasoning import conditions, items
from bodymaps.reasoning.case import Case
from bodymaps.reasoning.conditions import Facts
from bodymaps.reasoning.drawn import Drawn
from bodymaps.reasoning.items import Catalogue, Item
from charting.patients.models import Patient

FILE = Path(__file__).parent / "screens.toml"
# Never put to somebody who is alone with a device: what only a drawing or an answer calls for, and what needs
# a person in the room who can act on the answer (thoughts of dying are among them). Common practice.
NOT_ALONE = "asked on"

Answers = Mapping[str, Any]


class ScreensError(ValueError):
    """The data file is wrong; the text names the entry and what to mend."""


@dataclass(frozen=True)
class Screen:
    """One screen: the id of its group, the page it belongs to, and what is asked on it."""

    id: str
    page: str
    title: str
    lead: str
    items: tuple[Item, ...]


@cache
def load() -> tuple[Screen, ...]:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")), items.history())


def read(data: Mapping[str, Any], catalogue: Catalogue) -> tuple[Screen, ...]:
    """Every group with a question for the patient. Raises ScreensError."""
    pages = data.get("pages", [])
    if NOT_ALONE in pages:
        raise ScreensError(f"pages: {NOT_ALONE!r} is not put to a patient alone")
    groups = [group for page in pages for group in catalogue.on_page(page)]
    ids = [group.id for group in groups]
    first = data.get("first", [])
    if unknown := set(first) - set(ids):
        raise ScreensError(f"first: no such group: {', '.join(sorted(unknown))}")
    groups.sort(key=lambda group: first.index(group.id) if group.id in first else len(first))
    found = [_screen(group, data.get("screen", {}).get(group.id)) for group in groups]
    return tuple(screen for screen in found if screen.items)


def _screen(group: items.Group, said: Mapping[str, str] | None) -> Screen:
    """In the words of the data file; a group that is new to the catalogue stands under its own title."""
    asked = tuple(item for item in group.items if item.ask)
    words = said or {"title": group.title, "lead": ""}
    if not isinstance(words.get("title"), str) or not words["title"].strip():
        raise ScreensError(f"screen {group.id}: title must be a text")
    return Screen(group.id, group.page, words["title"], words.get("lead", ""), asked)


def asked_keys() -> frozenset[str]:
    """Every key that can be answered alone."""
    return frozenset(item.key for screen in load() for item in screen.items)


def for_patient(patient: Patient, on: date, answers: Answers) -> tuple[Screen, ...]:
    """The screens with what is asked of this person: less what age, sex or an answer on another screen rules
    out. What hangs on an answer of the same screen stays: it is shown as soon as that answer is given.
    """
    facts = _facts(patient, on, answers)
    found = []
    for screen in load():
        asked = tuple(item for item in screen.items if _is_asked(item, screen, facts))
        if asked:
            found.append(replace(screen, items=asked))
    return tuple(found)


def opened_by(item: Item) -> tuple[str, tuple[str, ...]]:
    """The answer that opens this question: (key, values); ("", ()) when none does."""
    told = item.only_if or {}
    return (told["item"], tuple(told.get("is", ()))) if "item" in told else ("", ())


def that_hold(answers: Answers, patient: Patient, on: date) -> dict[str, Any]:
    """The answers whose question is asked at all: "which one?" goes with the yes it hangs on."""
    facts = _facts(patient, on, answers)
    catalogue = items.history().items
    return {key: value for key, value in answers.items() if _holds(catalogue[key], facts)}


def _is_asked(item: Item, screen: Screen, facts: Facts) -> bool:
    parent = next((one for one in screen.items if one.key == opened_by(item)[0]), None)
    return _holds(item, facts) if parent is None else _is_asked(parent, screen, facts)


def _holds(item: Item, facts: Facts) -> bool:
    if item.only_if is None:
        return True
    parent = items.history().items.get(opened_by(item)[0])
    return (parent is None or _holds(parent, facts)) and conditions.read(item.only_if).holds(facts)


def _facts(patient: Patient, on: date, answers: Answers) -> Facts:
    history = {key: tuple(value) if isinstance(value, list) else value for key, value in answers.items()}
    return Facts(Case(age=patient.age_on(on), sex=patient.sex, history=history), Drawn())
