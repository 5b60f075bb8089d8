"""Turns the story and the answers of the danger screen into clean values."""

from typing import Any, NamedTuple

from django import forms
from django.forms import BoundField

from charting.history import danger_screen
from charting.history.danger_screen import Question
from charting.history.models import DangerAnswer
from charting.history.queries import Answered


class StoryForm(forms.Form):
    """Complaint and history. `version` is that of the words which the page showed."""

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
