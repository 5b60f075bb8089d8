"""Turns a reason to go past a gate, late advice and an incident with needles into clean values."""

from typing import Any

from django import forms

from charting.treatment.models import GateOverride, LateAdvice, NeedleIncident


def _longest(model: Any, name: str) -> int:
    return int(model._meta.get_field(name).max_length)


def _words(label: str, longest: int, missing: str, *, rows: int = 3, help_text: str = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=longest,
        widget=forms.Textarea(attrs={"rows": rows, "class": "short"}),
        help_text=help_text,
        error_messages={"required": missing},
    )


def _yes_no(label: str) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=label,
        choices=[("yes", "Yes"), ("no", "No")],
        coerce=lambda said: said == "yes",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose yes or no."},
    )


class OverrideForm(forms.Form):
    """Going past one gate. `state` is that of the gate the page showed."""

    gate = forms.CharField(widget=forms.HiddenInput, max_length=60)
    state = forms.CharField(widget=forms.HiddenInput, max_length=16)
    reason = _words(
        "Why you needle all the same",
        _longest(GateOverride, "reason"),
        "Say why. The reason prints in the note.",
        help_text="It prints in the note, with your name.",
    )


class LateAdviceForm(forms.Form):
    """What the patient was told. Nothing says beforehand that it was understood."""

    words = _words(
        "What the patient was told",
        _longest(LateAdvice, "words"),
        "Say what the patient was told.",
        rows=12,
        help_text="Change it to what you said.",
    )
    call = forms.CharField(
        label="Whom to call",
        max_length=_longest(LateAdvice, "call"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Say whom the patient calls."},
    )
    understood = _yes_no("The patient says: understood")


class IncidentForm(forms.Form):
    """What became of needles. `state` is that of the counts the page showed."""

    state = forms.CharField(widget=forms.HiddenInput, max_length=16)
    words = _words(
        "What happened",
        _longest(NeedleIncident, "words"),
        "Say what happened.",
        help_text="Where a missing needle was looked for, if it was found, or where one too many came from.",
    )
    done = _words(
        "What was done",
        _longest(NeedleIncident, "done"),
        "Say what was done.",
        help_text="Such as: clothes, couch and floor searched; sent for an image; a needle stick dealt with.",
    )
    told_patient = _yes_no("The patient was told")
