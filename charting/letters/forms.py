"""Turns what was typed into clean values. The sentences of a letter: charting.letters.editing.read."""

from django import forms

from charting.letters.models import Letter
from charting.staff.models import Paper


class BeginForm(forms.Form):
    """Which kind of letter about which episode."""

    kind = forms.ChoiceField(choices=Letter.Kind.choices)
    episode = forms.UUIDField()


class PaperForm(forms.Form):
    """Which paper: `?paper=a4`; the practice's own size by default."""

    paper = forms.ChoiceField(choices=Paper.choices, required=False)
