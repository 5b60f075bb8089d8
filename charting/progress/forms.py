"""Turns the end of an episode into clean values."""

from django import forms

from charting.episodes.models import EpisodeEvent
from charting.episodes.services import LONGEST_WORDS


class DischargeForm(forms.Form):
    """Why it ends, in a word and in sentences. `seen`: the fingerprint of the summary on the page."""

    reason = forms.ChoiceField(
        label="Why it ends",
        choices=EpisodeEvent.Reason.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose why the episode ends.",
            "invalid_choice": "Choose one of these reasons.",
        },
    )
    words = forms.CharField(
        label="In words (optional)",
        required=False,
        max_length=LONGEST_WORDS,
        widget=forms.Textarea(attrs={"rows": 7}),
        help_text="How the patient left, what was agreed, when to come back. Needed for the reason Other.",
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)

    def clean(self) -> dict[str, object]:
        found = super().clean() or self.cleaned_data
        if found.get("reason") == EpisodeEvent.Reason.OTHER and not found.get("words"):
            self.add_error("words", "Write why the episode ends.")
        return found
