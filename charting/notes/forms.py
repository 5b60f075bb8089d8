"""Turns what was typed into clean values."""

from typing import Any

from django import forms

from charting.notes.models import NoteText

LONGEST = NoteText._meta.get_field("assessment").max_length


def own_words(help_text: str, *, rows: int = 3) -> forms.CharField:
    return forms.CharField(
        label="In your own words",
        widget=forms.Textarea(attrs={"rows": rows}),
        required=False,
        max_length=LONGEST,
        help_text=help_text,
    )


class NoteForm(forms.Form):
    """Own words under each heading. `version` is that of the words which the page showed."""

    subjective = own_words("What the patient said beside it.")
    objective = own_words("What you found beside it.")
    assessment = own_words("What you think of it, in your words.", rows=5)
    plan = own_words("What is to be done, by whom, and when to look again.", rows=5)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)


class PasswordForm(forms.Form):
    """The password again: who signs is who signed in."""

    password = forms.CharField(
        label="Your password",
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class SignForm(PasswordForm):
    """`read` is the fingerprint of the record that the page showed."""

    read = forms.CharField(widget=forms.HiddenInput, max_length=64)


class PaperForm(forms.Form):
    """Which paper: `?paper=a4&addenda=0&cosigned=0`. By default the practice's own size, with everything."""

    paper = forms.ChoiceField(choices=(), required=False)
    addenda = forms.IntegerField(required=False, min_value=0, max_value=10_000)
    cosigned = forms.TypedChoiceField(
        choices=[("1", "yes"), ("0", "no")], coerce=lambda said: said == "1", empty_value=None, required=False
    )

    def __init__(self, *args: Any, papers: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["paper"].choices = papers  # type: ignore[attr-defined]

    def of_paper(self) -> dict[str, Any]:
        """Which of the stored ones is asked for."""
        return {name: self.cleaned_data[name] for name in ("addenda", "cosigned")}
