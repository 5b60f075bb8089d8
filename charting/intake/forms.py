"""What a patient sends from the device: one rating, one question."""

from typing import Any

from django import forms

from charting.intake.scoring import ScoreScreen

QUESTION_LENGTH = 500


class ScoreForm(forms.Form):
    """A number of the row, and the name of an activity where the screen asks for one. Nothing is
    compulsory.
    """

    def __init__(self, screen: ScoreScreen, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.screen = screen
        numbers = [(str(number), str(number)) for number, _ in screen.choices]
        self.fields["value"] = forms.ChoiceField(choices=numbers, required=False)
        if screen.names:
            self.fields["name"] = forms.CharField(max_length=screen.longest, required=False)

    def clean(self) -> dict[str, Any]:
        found = {**(super().clean() or {})}
        if self.screen.names and found.get("value") and not found.get("name") and "name" not in self.errors:
            self.add_error("name", "Say what it is, or take the number back.")
        return found

    @property
    def number(self) -> int | None:
        """None where nothing was chosen, or nothing that can be used."""
        value = self.cleaned_data.get("value", "")
        is_nameless = self.screen.names and not self.cleaned_data.get("name")
        return int(value) if value and not is_nameless else None

    @property
    def named(self) -> str:
        """The activity: as typed here, or as it was named before."""
        return str(self.cleaned_data.get("name", "")) if self.screen.names else self.screen.name


class QuestionForm(forms.Form):
    """What somebody wants to ask about a part of a text."""

    question = forms.CharField(
        label="What do you want to ask?",
        required=False,
        max_length=QUESTION_LENGTH,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
