"""What a patient is asked alone, screen by screen: the catalogue's questions as screens.toml puts them."""

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
    """One screen: `id` is the key of its first question, `section` the group it belongs to, `page` that of
    the group; `title` and `lead` are the section's.
    """

    id: str
    section: str
    page: str
    title: str
    lead: str
    items: tuple[Item, ...]


@dataclass(frozen=True)
class Asked:
    """The whole data file. `changes`: keys asked anew at a further visit. `heads`: of a long list, each
    heading with the choices below it.
    """

    screens: tuple[Screen, ...]
    changes: frozenset[str]
    in_scores: frozenset[str]
    heads: Mapping[str, Mapping[str, tuple[str, ...]]]

    @property
    def items(self) -> dict[str, Item]:
        """Every question by its key, with the answer that opens it."""
        return {item.key: item for screen in self.screens for item in screen.items}


@cache
def load() -> Asked:
    return read(tomllib.loads(FILE.read_text(encoding="utf-8")), items.history())


def read(data: Mapping[str, Any], catalogue: Catalogue) -> Asked:
    """Every question there is for the patient, one to a screen but for what is put together. Raises
    ScreensError.
    """
    groups = _groups(data, catalogue)
    opened = {key: _opened(key, told, catalogue) for key, told in data.get("asked_if", {}).items()}
    known = {item.key: opened.get(item.key, item) for group in groups for item in group.items if item.ask}
    together = [_together(each, known) for each in data.get("screen", [])]
    found = [screen for group in groups for screen in _screens(group, known, together, data)]
    keys = {item.key for screen in found for item in screen.items}
    changes = _known(data.get("changes", []), keys, "changes")
    in_scores = _known(data.get("in_scores", []), keys, "in_scores")
    return Asked(tuple(found), frozenset(changes), frozenset(in_scores), _heads(data.get("heads", {}), known))


def _groups(data: Mapping[str, Any], catalogue: Catalogue) -> list[items.Group]:
    pages, first = data.get("pages", []), data.get("first", [])
    if NOT_ALONE in pages:
        raise ScreensError(f"pages: {NOT_ALONE!r} is not put to a patient alone")
    groups = [group for page in pages for group in catalogue.on_page(page)]
    if unknown := set(first) - {group.id for group in groups}:
        raise ScreensError(f"first: no such group: {', '.join(sorted(unknown))}")
    return sorted(groups, key=lambda group: first.index(group.id) if group.id in first else len(first))


def _opened(key: str, told: Any, catalogue: Catalogue) -> Item:
    """The question with the answer it is asked after, in place of the condition of the catalogue."""
    item, parent = catalogue.items.get(key), catalogue.items.get(told.get("item", ""))
    if item is None or parent is None:
        raise ScreensError(f"asked_if.{key}: there is no such question, or none that opens it")
    if unknown := set(told.get("is", [])) - {one.id for one in parent.choices}:
        raise ScreensError(f"asked_if.{key}: {parent.key} has no answer {', '.join(sorted(unknown))}")
    return replace(item, only_if=dict(told))


def _together(told: Mapping[str, Any], known: Mapping[str, Item]) -> tuple[str, ...]:
    keys = tuple(_known(told.get("keys", []), set(known), "screen"))
    if len(keys) < 2 or len({known[key].group for key in keys}) > 1:
        raise ScreensError(f"screen {', '.join(keys)}: name two or more questions of one group")
    return keys


def _screens(
    group: items.Group, known: Mapping[str, Item], together: list[tuple[str, ...]], data: Mapping[str, Any]
) -> list[Screen]:
    """In the words of the data file; a group that is new to the catalogue stands under its own title."""
    words = data.get("section", {}).get(group.id) or {"title": group.title, "lead": ""}
    if not isinstance(words.get("title"), str) or not words["title"].strip():
        raise ScreensError(f"section {group.id}: title must be a text")
    asked = [known[item.key] for item in group.items if item.key in known]
    found: dict[str, list[Item]] = {}
    for item in asked:
        found.setdefault(_screen_of(item, known, together), []).append(item)
    return [
        Screen(key, group.id, group.page, words["title"], words.get("lead", ""), tuple(each))
        for key, each in found.items()
    ]


def _screen_of(item: Item, known: Mapping[str, Item], together: list[tuple[str, ...]]) -> str:
    """The key of the question that opens the screen this one stands on."""
    parent = known.get(opened_by(item)[0])
    if parent is not None and parent.group == item.group:
        return _screen_of(parent, known, together)
    return next((keys[0] for keys in together if item.key in keys), item.key)


def _heads(told: Mapping[str, Any], known: Mapping[str, Item]) -> dict[str, dict[str, tuple[str, ...]]]:
    for key, heads in told.items():
        _known([key], set(known), "heads")
        listed = [choice for choices in heads.values() for choice in choices]
        if sorted(listed) != sorted(one.id for one in known[key].choices):
            raise ScreensError(f"heads.{key}: every choice stands under one heading, each once")
    return {key: {head: tuple(ids) for head, ids in heads.items()} for key, heads in told.items()}


def _known(keys: list[str], among: set[str], where: str) -> list[str]:
    if unknown := [key for key in keys if key not in among]:
        raise ScreensError(f"{where}: no such question for the patient: {', '.join(unknown)}")
    return keys


def asked_keys() -> frozenset[str]:
    """Every key that can be answered alone."""
    return frozenset(load().items)


def for_patient(
    patient: Patient,
    on: date,
    answers: Answers,
    *,
    only_changes: bool = False,
    has_scores: bool = False,
    every: bool = False,
) -> tuple[Screen, ...]:
    """The screens with what is asked of this person: less what age, sex or an answer elsewhere rules out.
    What hangs on an answer of the same screen stays: it is shown as soon as that answer is given.

    `has_scores`: the scores follow. `every`: also what an answer on another screen rules out, so that the
    count of screens is the same from the first to the last.
    """
    facts, asked = _facts(patient, on, answers), load()
    out = asked.in_scores if has_scores else frozenset()
    found = []
    for screen in asked.screens:
        left = tuple(
            item
            for item in screen.items
            if item.key not in out
            and (not only_changes or item.key in asked.changes)
            and (_is_asked(item, screen, facts) or (every and _hangs_elsewhere(item)))
        )
        if left:
            found.append(replace(screen, items=left))
    return tuple(found)


def _hangs_elsewhere(item: Item) -> bool:
    """Whether screens.toml asks it after an answer on another screen."""
    parent = load().items.get(opened_by(item)[0])
    return parent is not None and parent.group != item.group


def opened_by(item: Item) -> tuple[str, tuple[str, ...]]:
    """The answer that opens this question: (key, values); ("", ()) when none does."""
    told = item.only_if or {}
    return (told["item"], tuple(told.get("is", ()))) if "item" in told else ("", ())


def that_hold(answers: Answers, patient: Patient, on: date) -> dict[str, Any]:
    """The answers whose question is asked at all: "which one?" goes with the yes it hangs on. What was
    asked on another screen and answered stays answered.
    """
    facts = _facts(patient, on, answers)
    asked = load().items
    return {
        key: value
        for key, value in answers.items()
        if _hangs_elsewhere(asked[key]) or _holds(asked[key], facts)
    }


def _is_asked(item: Item, screen: Screen, facts: Facts) -> bool:
    parent = next((one for one in screen.items if one.key == opened_by(item)[0]), None)
    return _holds(item, facts) if parent is None else _is_asked(parent, screen, facts)


def _holds(item: Item, facts: Facts) -> bool:
    if item.only_if is None:
        return True
    parent = load().items.get(opened_by(item)[0])
    return (parent is None or _holds(parent, facts)) and conditions.read(item.only_if).holds(facts)


def _facts(patient: Patient, on: date, answers: Answers) -> Facts:
    history = {key: tuple(value) if isinstance(value, list) else value for key, value in answers.items()}
    return Facts(Case(age=patient.age_on(on), sex=patient.sex, history=history), Drawn())
