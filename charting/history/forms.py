"""Turns the story and the answers of the danger screen into clean values."""

from decimal import Decimal
from typing import Any, NamedTuple, cast

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.http import QueryDict

from bodymaps.extent import believed
from bodymaps.reasoning.case import Value
from charting.history import danger_screen
from charting.history.asking import fields_of, name_of
from charting.history.danger_screen import Question
from charting.history.models import DangerAnswer, Story
from charting.history.queries import Answered, Questions, plain
from charting.history.standing import Subject, rules


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
    """Complaint, history and size, and the items that are asked. `version` is that of the words which the
    page showed, `shown` the mark of the standing facts it showed.
    """

    WORDS = ("complaint", "history", "height_cm", "weight_kg", "version")

    complaint = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
        required=False,
        max_length=2000,
        help_text="Why the patient comes, as far as possible in the patient's own words.",
    )
    history = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 4}),
        required=False,
        max_length=8000,
        help_text="What the questions below do not hold.",
    )
    height_cm = SizeField("Height", "cm", "172")
    weight_kg = SizeField("Weight", "kg", "72.5")
    same = forms.BooleanField(required=False, label="Asked today: all of this is still so")
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    shown = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)

    def __init__(self, *args: Any, questions: Questions, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.questions = questions
        self.fields.update(fields_of(questions.items.values()))

    def clean(self) -> None:
        for subject in rules().subjects:
            self._needs_its_fact(subject)
            self._settles_what_records_dispute(subject)
        if self.cleaned_data.get("same") and self.cleaned_data.get("shown") != self.questions.mark:
            # Shown again with what is on record now, and with the tick to be set anew.
            sent = cast(QueryDict, self.data).copy()
            sent.pop("same")
            sent["shown"] = self.questions.mark
            self.data = sent
            self.add_error("same", "What is on record changed since this page was opened. Read it again.")

    def _needs_its_fact(self, subject: Subject) -> None:
        """A "which" that was typed is never thrown away for want of the yes."""
        which = self.cleaned_data.get(name_of(subject.which))
        known = self.questions.before.get(subject.which.key)
        if which in (None, known) or self.cleaned_data.get(name_of(subject.item)):
            return
        if subject.item.key in self.questions.items and name_of(subject.item) not in self.errors:
            self.add_error(name_of(subject.item), "Choose yes, no or not sure as well.")

    def _settles_what_records_dispute(self, subject: Subject) -> None:
        """Where two records disagree, "all of this is still so" says nothing."""
        name = name_of(subject.item)
        said, key = self.cleaned_data, subject.item.key
        is_left = said.get("same") and not said.get(name) and name not in self.errors
        if is_left and key in self.questions.disputed:
            self.add_error(name, "Two records of this person disagree. Ask, and choose the answer.")

    def answers(self) -> dict[str, Value | None]:
        """By key: what each item is to be, None for none; an item that is not mentioned stays as it is."""
        told = {key: self.cleaned_data[name_of(item)] for key, item in self.questions.items.items()}
        for subject in rules().subjects:
            self._settle(told, subject.item.key, subject.which.key)
        return told

    def _settle(self, told: dict[str, Value | None], fact: str, which: str) -> None:
        """A fact that nobody answered in this visit is confirmed as it stands, or left alone."""
        before = self.questions.before
        if told.get(fact) == "no" and told[which] == before.get(which):
            told[which] = None
        if told.get(fact) is None and fact not in self.questions.here:
            for key in (fact, which):
                told.pop(key, None)
                if self.cleaned_data["same"] and key in before:
                    told[key] = before[key]

    @staticmethod
    def values_of(story: Story, questions: Questions) -> dict[str, Any]:
        """What is on record, by field. A fact confirmed in an earlier visit is not chosen beforehand."""
        values = {name_of(item): questions.value_of(item) for item in questions.items.values()}
        return {**values, "shown": questions.mark, **{name: getattr(story, name) for name in StoryForm.WORDS}}


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
