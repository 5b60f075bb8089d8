"""Turns the title of an episode, and why it is reopened, into clean values."""

from django import forms

from charting.episodes.services import LONGEST_TITLE, LONGEST_WORDS


class TitleForm(forms.Form):
    """What it is about. `version` as shown."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    title = forms.CharField(
        label="Title",
        max_length=LONGEST_TITLE,
        help_text="A few words, for example: right shoulder.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Give it a title."},
    )


class ReopenForm(forms.Form):
    """Why a discharged episode goes on."""

    words = forms.CharField(
        label="Why it goes on",
        max_length=LONGEST_WORDS,
        widget=forms.Textarea(attrs={"rows": 4, "class": "short"}),
        error_messages={"required": "Write why it is reopened."},
    )
