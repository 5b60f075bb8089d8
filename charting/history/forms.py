"""Turns the story and the answers of the danger screen into clean values."""

from decimal import Decimal
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from bodymaps.extent import believed
from charting.history import danger_screen
from charting.history.danger_screen import Question
from charting.history.models import DangerAnswer
from charting.history.queries import Answered, plain


class SizeField(forms.DecimalField):
    """A height or weight with at most one decimal, typed with a point or a comma; may stay empty."""

    def __init__(self, name: str, unit: str, such_as: str) -> None:
        low, high = believed(name.lower(), unit)
        self.wrong = (
            f"Enter the {name.lower()} in {unit}, from {low:g} to {high:g}, "
            f"such as {such_as}, or leave it empty."
        )
        super().__init__(
            label=f"{name} in {unit}",
            required=False,
            min_value=Decimal(str(low)),
            max_value=Decimal(str(high)),
            max_digits=4,
            decimal_places=1,
            widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "size": 6}),
        )

    def clean(self, value: Any) -> Any:
        """One error, whatever is wrong with it."""
        try:
            return super().clean(value.replace(",", ".") if isinstance(value, str) else value)
        except ValidationError as problem:
            raise ValidationError(self.wrong, code="size") from problem

    def prepare_value(self, value: Any) -> Any:
        """ "172", not "172.0"; what was typed stays as it was typed."""
        return plain(value) if isinstance(value, Decimal) else value


class StoryForm(forms.Form):
    """Complaint, history and size. `version` is that of the words which the page showed."""

    complaint = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        required=False,
        max_length=2000,
        help_text="Why the patient comes, as far as possible in the patient's own words.",
    )
    history = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 9}),
        required=False,
        max_length=8000,
        help_text="Since when, how it began, what eases or worsens it, treatment so far, medicines, work.",
    )
    height_cm = SizeField("Height", "cm", "172")
    weight_kg = SizeField("Weight", "kg", "72.5")
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)


class Asked(NamedTuple):
    """One question beside its two controls, for the template."""

    question: Question
    answer: BoundField
    remark: BoundField


class DangerForm(forms.Form):
    """Yes, no or not sure for every question, none preselected, and a remark beside each."""

    state = forms.CharField(widget=forms.HiddenInput, max_length=16)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for question in danger_screen.load().questions:
            self.fields[question.id] = forms.ChoiceField(
                label=question.topic,
                choices=DangerAnswer.Answer.choices,
                widget=forms.RadioSelect,
                error_messages={"required": "Choose yes, no or not sure."},
            )
            self.fields[remark_name(question.id)] = forms.CharField(
                label=f"Remark: {question.topic}",
                required=False,
                max_length=500,
                widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "Remark"}),
            )

    def asked(self) -> list[Asked]:
        return [
            Asked(question, self[question.id], self[remark_name(question.id)])
            for question in danger_screen.load().questions
        ]

    def answers(self) -> dict[str, tuple[str, str]]:
        """Question id to (answer, remark)."""
        return {
            question.id: (self.cleaned_data[question.id], self.cleaned_data[remark_name(question.id)])
            for question in danger_screen.load().questions
        }

    @staticmethod
    def values_of(screen: tuple[Answered, ...]) -> dict[str, str]:
        values = {each.question.id: each.answer for each in screen}
        return values | {remark_name(each.question.id): each.remark for each in screen}


def remark_name(question_id: str) -> str:
    return f"{question_id}_remark"
