"""Items of the catalogue as fields of a form: asked on paper-like pages, answered by tapping."""

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from bodymaps.reasoning import conditions, items
from bodymaps.reasoning.case import CaseError, Value, value_of
from bodymaps.reasoning.items import Group, Item

# A radio button of its own takes the answer back, so that it works without script and is kept in a draft.
CLEAR = ("", "Clear")


class Taps(forms.RadioSelect):
    """Radio buttons of which none is chosen beforehand, not even the one that takes an answer back."""

    def format_value(self, value: Any) -> list[str]:
        return [] if value is None else super().format_value(value)


class ItemField(forms.Field):
    """One item; its clean value is what Case.history takes, None when it was not answered."""

    def __init__(self, item: Item) -> None:
        super().__init__(label=item.label, required=False, widget=_widget(item))
        self.item = item

    def clean(self, value: Any) -> Value | None:
        told = tuple(value) if isinstance(value, list) else (value or "").strip()
        if not told:
            return None
        try:
            said = _number(told, self.item) if self.item.type == "number" else told
            return value_of(items.history(), self.item.key, said, "history")
        except (CaseError, ValueError) as problem:
            raise ValidationError(self.to_mend(problem), code="answer") from problem

    def to_mend(self, problem: Exception) -> str:
        """What to write instead."""
        item = self.item
        if item.type == "number":
            kind = "number" if item.decimals else "whole number"
            return f"Enter a {kind} from {item.least:g} to {item.most:g} {item.unit}, or leave it empty."
        if item.type == "text":
            return f"Use at most {item.longest} characters."
        return f"Choose one of those shown: {getattr(problem, 'reason', problem)}."

    def prepare_value(self, value: Any) -> Any:
        """ "45", not "45.0"; what was typed stays as it was typed."""
        if isinstance(value, tuple):
            return list(value)
        return f"{value:g}" if isinstance(value, float | int) else value


@dataclass(frozen=True)
class AskedItem:
    """One item beside its control, for the template. `only_if`: the condition as JSON, "" for always."""

    item: Item
    field: BoundField
    only_if: str

    @property
    def is_taps(self) -> bool:
        return self.item.type in ("choice", "choices", "yes_no")

    @property
    def is_short(self) -> bool:
        """Whether two of its kind fit beside each other."""
        kind = self.item.type
        return kind in ("yes_no", "number", "text") or (kind == "choice" and len(self.item.choices) < 4)


@dataclass(frozen=True)
class Section:
    """One group on the page."""

    id: str
    title: str
    help: str
    asked: tuple[AskedItem, ...]


def name_of(item: Item) -> str:
    """Of the field."""
    return f"told_{item.key}"


def fields_of(asked: Iterable[Item]) -> dict[str, ItemField]:
    return {name_of(item): ItemField(item) for item in asked}


def section(group: Group, asked: Mapping[str, Item], form: forms.Form) -> Section:
    """The items of a group that are asked, each with its control in the form."""
    shown = [item for item in group.items if item.key in asked]
    return Section(group.id, group.title, group.help, tuple(_asked(item, form) for item in shown))


def _asked(item: Item, form: forms.Form) -> AskedItem:
    """Conditions of age and sex were weighed by the server; the page weighs those of other answers."""
    asks_items = item.only_if and conditions.read(item.only_if).keys()
    return AskedItem(item, form[name_of(item)], json.dumps(item.only_if) if asks_items else "")


def _number(told: Any, item: Item) -> float:
    """Typed with a point or a comma. Raises ValueError."""
    number = float(str(told).replace(",", "."))
    if not math.isfinite(number) or number != round(number, item.decimals):
        raise ValueError("not a number of as many decimals")
    return number if item.decimals else int(number)


def _widget(item: Item) -> forms.Widget:
    choices = [(one.id, one.words) for one in item.choices]
    if item.type == "choices":
        return forms.CheckboxSelectMultiple(choices=choices)
    if item.type in ("choice", "yes_no"):
        return Taps(choices=[*choices, CLEAR])
    plain = {"autocomplete": "off"}
    if item.type == "number":
        return forms.TextInput(attrs={**plain, "inputmode": "numeric", "size": 6})
    if item.longest > 200:
        return forms.Textarea(attrs={"rows": 2, "class": "short"})
    return forms.TextInput(attrs=plain)
