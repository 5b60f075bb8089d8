"""Questions of the catalogue as a form: what a browser sends to clean values. Nothing is compulsory."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from bodymaps.reasoning import items
from bodymaps.reasoning.case import CaseError, value_of
from bodymaps.reasoning.items import Item

SHORT_TEXT = 120


class NumberField(forms.FloatField):
    """A number of an item: a point or a comma, within its bounds; one error, whatever is wrong with it."""

    def __init__(self, item: Item) -> None:
        self.item = item
        attrs = {"inputmode": "decimal" if item.decimals else "numeric", "autocomplete": "off", "size": 6}
        super().__init__(label=item.ask, required=False, widget=forms.TextInput(attrs=attrs))

    def clean(self, value: Any) -> Any:
        try:
            found = super().clean(value.replace(",", ".") if isinstance(value, str) else value)
            return found if found is None else value_of(items.history(), self.item.key, _plain(found), "")
        except (ValidationError, CaseError) as problem:
            least, most = self.item.least or 0, self.item.most or 0
            words = f"Enter a number from {least:g} to {most:g}, or leave it empty."
            raise ValidationError(words, code="number") from problem


class AnswersForm(forms.Form):
    """One field for each of `asked`, named by its key. `prefix` keeps two such forms apart on one page."""

    def __init__(self, asked: Iterable[Item], *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.asked = tuple(asked)
        for item in self.asked:
            self.fields[item.key] = _field(item)

    def answers(self) -> dict[str, Any]:
        """Key to value for everything that was answered and can be used; what is wrong is left out."""
        given = {item.key: self.cleaned_data.get(item.key) for item in self.asked}
        said = {key: value for key, value in given.items() if value not in (None, "", [])}
        return {key: stored(value_of(items.history(), key, value, "history")) for key, value in said.items()}


def initial_of(answers: Mapping[str, Any]) -> dict[str, Any]:
    """Answers fit for a form's `initial`: a whole number without its ".0"."""
    return {key: _plain(value) if isinstance(value, float) else value for key, value in answers.items()}


def stored(value: Any) -> Any:
    """A value of the catalogue as the database keeps it: lists for tuples."""
    return list(value) if isinstance(value, tuple) else value


def is_long(item: Item) -> bool:
    """Whether its words need more than a line."""
    return item.type == "text" and item.longest > SHORT_TEXT


def _field(item: Item) -> forms.Field:
    choices = [(one.id, one.words) for one in item.choices]
    if item.type == "choices":
        return forms.MultipleChoiceField(
            label=item.ask, choices=choices, required=False, widget=forms.CheckboxSelectMultiple
        )
    if item.type in ("choice", "yes_no"):
        return forms.ChoiceField(label=item.ask, choices=choices, required=False, widget=forms.RadioSelect)
    if item.type == "number":
        return NumberField(item)
    widget = forms.Textarea(attrs={"rows": 3}) if is_long(item) else forms.TextInput()
    return forms.CharField(label=item.ask, required=False, max_length=item.longest, widget=widget)


def _plain(number: float) -> float | int:
    return int(number) if float(number).is_integer() else number


class TakeForm(AnswersForm):
    """What a clinician takes over of one telling: the ticked keys, each with its value as told or as changed.
    `version` is that of the telling, `story` that of the story, as the page showed them.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    story = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, asked: Iterable[Item], *args: Any, **more: Any) -> None:
        super().__init__(asked, *args, **more)
        keys = [(item.key, item.label) for item in self.asked]
        self.fields["take"] = forms.MultipleChoiceField(
            choices=keys, required=False, widget=forms.CheckboxSelectMultiple
        )

    def need(self, keys: Iterable[str]) -> dict[str, Any]:
        """The values of these keys. One that was emptied gets an error: it can't be taken over."""
        said = self.answers()
        wanted = list(keys)
        for key in wanted:
            if key not in said and key not in self.errors:
                self.add_error(key, "Nothing is left of this. Choose an answer, or do not take it.")
        return {key: said[key] for key in wanted if key in said}
