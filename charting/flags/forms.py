"""Turns what is asked on, a decision and the end of a follow-up into clean values."""

import re
from collections.abc import Iterable
from datetime import date, datetime, time
from typing import Any, NamedTuple

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField
from django.utils import timezone

from bodymaps.reasoning.items import Item
from charting.flags.models import Decision, FollowUp
from charting.flags.services import NEED_A_CALL
from charting.history.models import DangerAnswer
from charting.patients.dates import WrongPart, past_day
from charting.patients.forms import DayField
from charting.staff.models import Practice

LONGEST = Decision._meta.get_field("why").max_length
LONGEST_DONE = FollowUp._meta.get_field("words").max_length
UNANSWERED = "Choose yes, no or not sure, or empty the remark."
NO_TIME = "Enter the time as hours and minutes, such as 14:05."


class Asked(NamedTuple):
    """One question beside its two controls, for the template."""

    item: Item
    answer: BoundField
    remark: BoundField


class QuestionsForm(forms.Form):
    """Yes, no or not sure for questions that are asked on; none preselected, and each may wait."""

    state = forms.CharField(widget=forms.HiddenInput, max_length=16)

    def __init__(self, *args: Any, items: Iterable[Item], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.items = tuple(items)
        for item in self.items:
            self.fields[item.key] = forms.ChoiceField(
                label=item.label,
                required=False,
                choices=DangerAnswer.Answer.choices,
                widget=forms.RadioSelect,
            )
            self.fields[remark_name(item.key)] = forms.CharField(
                label=f"Remark: {item.label}",
                required=False,
                max_length=500,
                widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "Remark"}),
            )

    def asked(self) -> tuple[Asked, ...]:
        return tuple(Asked(item, self[item.key], self[remark_name(item.key)]) for item in self.items)

    def clean(self) -> dict[str, Any]:
        found = {**(super().clean() or {})}
        for item in self.items:
            if found.get(remark_name(item.key)) and not found.get(item.key) and item.key not in self.errors:
                self.add_error(item.key, UNANSWERED)
        return found

    def answers(self) -> dict[str, tuple[str, str]]:
        """Key to (answer, remark), of those that were answered."""
        said = self.cleaned_data
        return {
            item.key: (said[item.key], said[remark_name(item.key)]) for item in self.items if said[item.key]
        }


class DecisionForm(forms.Form):
    """What is done about one flag. `id` is made with the page, so that a double tap decides once; `state` is
    that of the flag the page showed.
    """

    id = forms.UUIDField(widget=forms.HiddenInput)
    state = forms.CharField(widget=forms.HiddenInput, max_length=16)
    outcome = forms.ChoiceField(
        label="Decision",
        choices=Decision.Outcome.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what was decided."},
    )
    why = forms.CharField(
        label="Why",
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        help_text="What was asked and examined, and what it showed.",
        error_messages={"required": "Say why."},
    )
    called = forms.CharField(
        label="Whom you called",
        required=False,
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Name or service. Needed when the patient is sent or a physician was spoken with.",
    )
    called_on = DayField(label="Day of the call")
    called_time = forms.CharField(
        label="Time of the call",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off", "size": 6, "placeholder": "14:05"}),
    )
    advised = forms.CharField(
        label="What the patient was advised",
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        error_messages={"required": "Say what was advised."},
    )
    understood = forms.TypedChoiceField(
        label="The patient says: understood",
        choices=[("yes", "Yes"), ("no", "No")],
        coerce=lambda said: said == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose yes or no."},
    )
    follow_up_on = DayField(label="Follow up on (optional)")

    def __init__(self, *args: Any, practice: Practice, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zone = practice.zone

    def clean_called_on(self) -> date | None:
        return self._day("called_on")

    def clean_follow_up_on(self) -> date | None:
        day = self._day("follow_up_on")
        if day and day < timezone.localdate(timezone=self.zone):
            self.fields["follow_up_on"].widget.wrong = "day"
            raise ValidationError("The day to follow up must not be past.")
        return day

    def clean_called_time(self) -> time | None:
        typed = self.cleaned_data["called_time"].strip()
        if not typed:
            return None
        found = re.fullmatch(r"([01]?[0-9]|2[0-3])[:.h ]?([0-5][0-9])", typed)
        if not found:
            raise ValidationError(NO_TIME)
        return time(int(found[1]), int(found[2]))

    def clean(self) -> dict[str, Any]:
        found = {**(super().clean() or {})}
        if found.get("outcome") in NEED_A_CALL:
            self._need(found, "called", "Say whom you called.")
            self._need(found, "called_time", "Enter the time of the call.")
        elif not found.get("called"):
            # The day stands there from the beginning; without a call it says nothing.
            return {**found, "called_at": None}
        return {**found, "called_at": self._called_at(found)}

    def decided(self) -> dict[str, Any]:
        """What the record keeps."""
        left_out = ("called_on", "called_time")
        return {name: value for name, value in self.cleaned_data.items() if name not in left_out}

    def _need(self, found: dict[str, Any], name: str, words: str) -> None:
        if not found.get(name) and name not in self.errors:
            self.add_error(name, words)

    def _called_at(self, found: dict[str, Any]) -> datetime | None:
        day, at = found.get("called_on"), found.get("called_time")
        if not at:
            return None
        if not day:
            if "called_on" not in self.errors:
                self.add_error("called_on", "Enter the day of the call.")
            return None
        called_at = datetime.combine(day, at, self.zone)
        if called_at > timezone.now():
            self.add_error("called_time", "The call must not be in the future.")
        return called_at

    def _day(self, name: str) -> date | None:
        """The day of three typed parts; None when all are empty."""
        parts = self.cleaned_data[name] or ["", "", ""]
        if not any(part.strip() for part in parts):
            return None
        try:
            return past_day(*parts, earliest=date.min, today=date.max, before="")
        except WrongPart as problem:
            self.fields[name].widget.wrong = problem.part
            raise ValidationError(str(problem), code=problem.part) from problem


class FollowUpForm(forms.Form):
    """How a follow-up ended."""

    words = forms.CharField(
        label="How it ended",
        max_length=LONGEST_DONE,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        help_text="Whom you reached, and what came of it.",
        error_messages={"required": "Say how it ended."},
    )


def remark_name(key: str) -> str:
    return f"{key}_remark"
