"""Which paper: `?paper=a4`."""

from django import forms

from charting.staff.models import Paper


class PaperForm(forms.Form):
    """By default the practice's own size."""

    paper = forms.ChoiceField(choices=Paper.choices, required=False)
