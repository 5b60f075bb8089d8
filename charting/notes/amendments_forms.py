"""Turns what was typed about a request for amendment into clean values."""

import uuid
from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from charting.contacts.forms import day_meant, now_there
from charting.notes import amendments
from charting.notes.amendments_queries import Asked
from charting.notes.models import AmendmentRequest, AmendmentStep
from charting.patients.forms import DayField
from charting.patients.models import Patient
from charting.visits.models import Visit

What = AmendmentStep.What
WHOLE = ("", "The record as a whole, or several notes")
DOES = {
    What.EXTENDED: "Take more time",
    What.ACCEPTED: "Accept it",
    What.DENIED: "Deny it",
    What.DISAGREED: "The patient disagrees in writing",
    What.ANSWERED: "The practice answers to that",
}


class RequestForm(forms.Form):
    """What somebody asks for. `id` is made with the page, so that a double tap makes one row."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    received_on = DayField(label="Received on")
    asked_by = forms.CharField(
        label="Asked for by",
        max_length=AmendmentRequest._meta.get_field("asked_by").max_length,
        help_text="The patient, or who speaks for the patient.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write who asks."},
    )
    visit = forms.ChoiceField(label="Which note it is about", required=False)
    words = forms.CharField(
        label="What is to be changed",
        max_length=AmendmentRequest._meta.get_field("words").max_length,
        help_text="In the patient's words.",
        widget=forms.Textarea(attrs={"rows": 4, "class": "short"}),
        error_messages={"required": "Write what is to be changed."},
    )
    reason = forms.CharField(
        label="The reason that is given (optional)",
        max_length=AmendmentRequest._meta.get_field("reason").max_length,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
    )

    def __init__(self, *args: Any, patient: Patient, visits: Sequence[Visit], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.patient, self.visits = patient, {str(one.pk): one for one in visits}
        zone = patient.practice.zone
        named = [
            (key, f"Visit of {one.started_at.astimezone(zone):%-d %B %Y, %H:%M}")
            for key, one in self.visits.items()
        ]
        self.fields["visit"].choices = [WHOLE, *named]  # type: ignore[attr-defined]

    @staticmethod
    def usual(patient: Patient) -> dict[str, Any]:
        """By the patient, today."""
        return {"id": uuid.uuid4(), "received_on": now_there(patient).date(), "asked_by": patient.name}

    def clean_received_on(self) -> date:
        return day_meant(self, "received_on", self.patient)

    def said(self) -> dict[str, Any]:
        return {**self.cleaned_data, "visit": self.visits.get(self.cleaned_data["visit"])}


class StepForm(forms.Form):
    """What became of a request: one of the steps that can come now."""

    what = forms.ChoiceField(
        label="What was done?",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what was done."},
    )
    ground = forms.ChoiceField(label="On which ground?", required=False, widget=forms.RadioSelect)
    done_on = DayField(label="Told to the patient on")
    words = forms.CharField(
        label="In words",
        max_length=AmendmentStep._meta.get_field("words").max_length,
        widget=forms.Textarea(attrs={"rows": 4, "class": "short"}),
        error_messages={"required": "Write it in words."},
    )

    def __init__(self, *args: Any, asked: Asked, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.patient, follows = asked.row.patient, asked.may_follow
        self.fields["what"].choices = [(one.value, DOES[one]) for one in follows]  # type: ignore[attr-defined]
        grounds = [(one.id, one.words) for one in amendments.load().grounds.values()]
        self.fields["ground"].choices = grounds  # type: ignore[attr-defined]
        if What.DISAGREED in follows:
            self.fields["done_on"].label = "Received on"
        if What.DENIED not in follows:
            del self.fields["ground"]
        if len(follows) == 1:
            self.initial.setdefault("what", follows[0].value)

    @staticmethod
    def usual(patient: Patient) -> dict[str, Any]:
        return {"done_on": now_there(patient).date()}

    def clean_done_on(self) -> date:
        return day_meant(self, "done_on", self.patient)
