"""Turns a signed consent page into clean values."""

from typing import Any

from django import forms

from charting.consent import signature
from charting.consent.models import Consent


class SignForm(forms.Form):
    """Who signs, what was asked, and the signature: drawn (`ink`), or by the typed name."""

    signer = forms.ChoiceField(
        label="Who signs",
        choices=[(value, label.capitalize()) for value, label in Consent.Signer.choices],
        widget=forms.RadioSelect,
        initial="patient",
    )
    signer_name = forms.CharField(
        label="Name of the person who signs",
        max_length=160,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    questions = forms.CharField(
        label="Questions asked, and answers (optional)",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
    )
    ink = forms.CharField(label="Signature", required=False, widget=forms.HiddenInput)
    by_typed_name = forms.BooleanField(
        label="I can't or don't want to draw: my name typed above is my signature.", required=False
    )
    device_time = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        cleaned["signature"] = []
        if not cleaned.get("by_typed_name"):
            try:
                cleaned["signature"] = signature.read(cleaned.get("ink") or "[]")
            except signature.NoSignature as problem:
                self.add_error("ink", str(problem))
        return cleaned

    def signed(self) -> dict[str, Any]:
        """What the record keeps."""
        names = ("signer", "signer_name", "questions", "signature", "by_typed_name", "device_time")
        return {name: self.cleaned_data[name] for name in names}
