"""Turns what was typed about an adverse event into clean values."""

import uuid
from datetime import date, datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from charting.appointments.times import at_clock
from charting.contacts.forms import CLOCK_FORWARD, day_meant, now_there
from charting.patients.dates import WrongPart, past_day
from charting.patients.forms import DayField
from charting.patients.models import Patient
from charting.treatment import adverse
from charting.treatment.adverse_queries import Choice
from charting.treatment.adverse_services import Happened
from charting.treatment.models import AdverseEvent

FARTHEST_YEARS = 2
UNKNOWN = ("", "None of these, or not known")


def _proposed(one: adverse.Severity) -> str:
    """Within how many days to look at it again."""
    days = one.follow_up_days
    return f" Look at it again within {days} day{'' if days == 1 else 's'}." if days else ""


class NextDay(forms.Form):
    """What forms share that name a day to come."""

    def __init__(self, *args: Any, patient: Patient, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.patient = patient

    def day_to_come(self, name: str) -> date | None:
        """A day from today on, or none. Marks the box that is wrong."""
        if not any(part.strip() for part in self.cleaned_data[name]):
            return None
        today = now_there(self.patient).date()
        latest = today.replace(year=today.year + FARTHEST_YEARS, day=min(today.day, 28))
        try:
            return past_day(
                *self.cleaned_data[name],
                earliest=today,
                today=latest,
                before="The day to follow up must not be past.",
            )
        except WrongPart as problem:
            self.fields[name].widget.wrong = problem.part
            raise ValidationError(str(problem), code=problem.part) from problem


class EventForm(NextDay):
    """One adverse event. `id` is made with the page, so that a double tap makes one row."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    what = forms.ChoiceField(
        label="What happened",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what happened."},
    )
    severity = forms.ChoiceField(
        label="How severe",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose how severe it is."},
    )
    day = DayField(label="Date")
    at = forms.TimeField(
        label="Time",
        input_formats=["%H:%M", "%H.%M", "%H:%M:%S", "%I:%M %p"],
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": 8, "class": "time"}),
        error_messages={
            "required": "Enter the time, about.",
            "invalid": "Enter the time as hours and minutes: 14:05.",
        },
    )
    treated = forms.ChoiceField(label="After which treatment", required=False)
    words = forms.CharField(
        label="In words",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        error_messages={"required": "Say what happened."},
    )
    done = forms.CharField(
        label="What was done and advised (optional)",
        max_length=1000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
    )
    reported_by_patient = forms.BooleanField(label="The patient reported it", required=False)
    follow_up_on = DayField(label="Follow up on (optional)")

    def __init__(self, *args: Any, choices: tuple[Choice, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = adverse.load()
        self.choices_by_key = {one.key: one for one in choices}
        kinds = [(kind.id, kind.label) for kind in known.kinds.values()]
        severe = [(one.id, f"{one.label}: {one.words}{_proposed(one)}") for one in known.severities.values()]
        for name, offered in (
            ("what", kinds),
            ("severity", severe),
            ("treated", [UNKNOWN, *((one.key, one.words) for one in choices)]),
        ):
            self.fields[name].choices = offered  # type: ignore[attr-defined]

    @staticmethod
    def usual(patient: Patient) -> dict[str, Any]:
        """Just now."""
        now = now_there(patient)
        return {"id": uuid.uuid4(), "day": now.date(), "at": f"{now:%H:%M}"}

    @classmethod
    def correcting(cls, event: AdverseEvent, choices: tuple[Choice, ...]) -> dict[str, Any]:
        """The row as it stands, to be put right."""
        then = event.happened_at.astimezone(event.patient.practice.zone)
        names = ("what", "severity", "words", "done", "reported_by_patient", "follow_up_on")
        same = next((one.key for one in choices if one.is_of(event)), "")
        said = {name: getattr(event, name) for name in names}
        return {"id": uuid.uuid4(), "day": then.date(), "at": f"{then:%H:%M}", "treated": same, **said}

    def clean_day(self) -> date:
        return day_meant(self, "day", self.patient)

    def clean_follow_up_on(self) -> date | None:
        return self.day_to_come("follow_up_on")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("day") and found.get("at") is not None:
            when = self._happened_at()
            if when is None:
                self.add_error("at", CLOCK_FORWARD)
            elif when > timezone.now():
                self.add_error("at", "The time must not be in the future.")
        return found

    def said(self) -> tuple[uuid.UUID, Happened]:
        """The id of the row, and what happened."""
        clean = self.cleaned_data
        treated = self.choices_by_key.get(clean["treated"])
        names = ("what", "severity", "words", "done", "reported_by_patient", "follow_up_on")
        when = self._happened_at() or timezone.now()
        about = treated.about if treated else {}
        return clean["id"], Happened(happened_at=when, **{name: clean[name] for name in names}, **about)

    def _happened_at(self) -> datetime | None:
        return at_clock(self.cleaned_data["day"], self.cleaned_data["at"], self.patient.practice.zone)


class FurtherForm(NextDay):
    """How an event went on."""

    words = forms.CharField(
        label="How it went on",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        error_messages={"required": "Say how it went on."},
    )
    settles = forms.TypedChoiceField(
        label="Is it over?",
        choices=[("yes", "Yes, nothing more is to be followed up"), ("no", "No, look at it again")],
        coerce=lambda said: said == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Say whether it is over."},
    )
    next_on = DayField(label="Look at it again on")

    def clean_next_on(self) -> date | None:
        return self.day_to_come("next_on")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("settles") is False and not found.get("next_on") and "next_on" not in self.errors:
            self.add_error("next_on", "Name the day on which it is looked at again.")
        return found
