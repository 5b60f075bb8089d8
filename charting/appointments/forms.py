"""Turns what was typed about an appointment into clean values."""

import uuid
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from charting.appointments.models import Appointment
from charting.appointments.queries import MOST_MINUTES
from charting.appointments.services import LONGEST_REASON, LONGEST_WHY
from charting.appointments.times import at_clock
from charting.patients.dates import WrongPart, past_day
from charting.patients.forms import DayField
from charting.staff.models import User
from charting.staff.queries import clinicians_beside

# A slip in the year is caught.
FARTHEST = timedelta(days=2 * 366)
USUAL_MINUTES = 30
CLOCK_FORWARD = "The clock is set forward on this day, so there is no such time. Enter a later one."


class AppointmentForm(forms.Form):
    """One time set aside. `id` is made with the page, so that a double tap makes one; `version` as shown."""

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    # Where one came from: "day" leads back to the day list.
    back = forms.CharField(widget=forms.HiddenInput, required=False, max_length=10)
    day = DayField(label="Date")
    at = forms.TimeField(
        label="Time",
        input_formats=["%H:%M", "%H.%M", "%H:%M:%S", "%I:%M %p"],
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": 8, "class": "time"}),
        error_messages={
            "required": "Enter the time.",
            "invalid": "Enter the time as hours and minutes: 14:05.",
        },
    )
    minutes = forms.IntegerField(
        label="Minutes",
        min_value=1,
        max_value=MOST_MINUTES,
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "maxlength": 3, "class": "time", "inputmode": "numeric"}
        ),
        error_messages={"required": "Enter how long it lasts.", "invalid": "Enter a number of minutes."},
    )
    clinician = forms.TypedChoiceField(
        label="With",
        coerce=int,
        widget=forms.Select(attrs={"class": "fit"}),
        error_messages={"required": "Choose with whom."},
    )
    reason = forms.CharField(
        label="Reason (optional)",
        max_length=LONGEST_REASON,
        required=False,
        help_text="The whole team reads it. No clinical findings.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    SAID = ("minutes", "reason")

    def __init__(
        self, *args: Any, user: User, zone: ZoneInfo, was: datetime | None = None, **kwargs: Any
    ) -> None:
        """`was`: when the appointment is that is changed; it may stay there, though that is past."""
        super().__init__(*args, **kwargs)
        self.zone, self.was = zone, was
        self.clinicians = {each.pk: each for each in clinicians_beside(user)}
        named = [
            (pk, f"{each}, {each.title}" if each.title else str(each)) for pk, each in self.clinicians.items()
        ]
        self.fields["clinician"].choices = named  # type: ignore[attr-defined]

    @staticmethod
    def usual(user: User, day: date | None) -> dict[str, Any]:
        """On `day`, where one was chosen; with oneself, for who treats."""
        return {"id": uuid.uuid4(), "day": day, "minutes": USUAL_MINUTES, "clinician": user.pk}

    @classmethod
    def values_of(cls, row: Appointment) -> dict[str, Any]:
        then = row.starts_at.astimezone(row.patient.practice.zone)
        when = {"day": then.date(), "at": f"{then:%H:%M}"}
        about = {name: getattr(row, name) for name in (*cls.SAID, "version")}
        return {**when, **about, "clinician": row.clinician_id}

    def clean_day(self) -> date:
        today = timezone.localdate(timezone=self.zone)
        try:
            parts = self.cleaned_data["day"]
            day = past_day(*parts, earliest=date.min, today=date.max, before="")
            self._check_day(day, today)
        except WrongPart as problem:
            self.fields["day"].widget.wrong = problem.part
            raise ValidationError(str(problem), code=problem.part) from problem
        return day

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("day") and found.get("at") is not None:
            found["starts_at"] = at_clock(found["day"], found["at"], self.zone)
            if found["starts_at"] is None:
                self.add_error("at", CLOCK_FORWARD)
        return found

    def said(self) -> dict[str, Any]:
        """The clean values of the appointment."""
        said = {name: self.cleaned_data[name] for name in (*self.SAID, "starts_at")}
        return {**said, "clinician": self.clinicians[self.cleaned_data["clinician"]]}

    def _check_day(self, day: date, today: date) -> None:
        if self.was and day == self.was.astimezone(self.zone).date():
            return
        if day < today:
            raise WrongPart("year" if day.year < today.year else "day", "The day must not be past.")
        if day > today + FARTHEST:
            raise WrongPart("year", "The day must be within the next two years.")


class StandsForm(forms.Form):
    """The version of the appointment that a button stood beside."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)


class EndForm(StandsForm):
    """Why an appointment ends without a visit, and whether somebody is to call."""

    why = forms.CharField(
        label="Why",
        max_length=LONGEST_WHY,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write why it is cancelled."},
    )
    needs_follow_up = forms.BooleanField(label="Somebody is still to follow this up", required=False)


class MissedForm(EndForm):
    why = forms.CharField(
        label="What is known of it (optional)",
        max_length=LONGEST_WHY,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
