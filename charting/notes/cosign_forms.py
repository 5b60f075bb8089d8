"""Turns what was typed about a co-signature, or about trainees, into clean values."""

from django import forms

from charting.notes.forms import PasswordForm
from charting.notes.models import CoSignature


class CosignForm(PasswordForm):
    """`read`: the fingerprint of the note that the page showed; `entries`: how many later ones it showed."""

    read = forms.CharField(widget=forms.HiddenInput, max_length=64)
    entries = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    words = forms.CharField(
        label="Remark (optional)",
        max_length=CoSignature._meta.get_field("words").max_length,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Stands on the paper beside your signature.",
    )
    field_order = ["words", "password"]


class TraineeForm(forms.Form):
    """Who is meant, and whether that person is a trainee."""

    user = forms.IntegerField(min_value=1)
    is_trainee = forms.BooleanField(required=False)
