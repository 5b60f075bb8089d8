"""Turns what was typed into clean values."""

from typing import Any

from django import forms

from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data
from charting.notes.models import Addendum, NoteText

LONGEST = NoteText._meta.get_field("assessment").max_length
LONGEST_ADDENDUM = Addendum._meta.get_field("text").max_length


class NoteForm(forms.Form):
    """Assessment and plan. `version` is that of the words which the page showed."""

    assessment = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 9}),
        required=False,
        max_length=LONGEST,
        help_text="What you found and what you think of it, in your words.",
    )
    plan = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 7}),
        required=False,
        max_length=LONGEST,
        help_text="What is to be done, by whom, and when to look again.",
    )
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


class AddendumForm(PasswordForm):
    text = forms.CharField(
        label="Addendum",
        max_length=LONGEST_ADDENDUM,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Printed after the original with your name and the time. It can't be changed afterwards.",
    )
    field_order = ["text", "password"]

    @staticmethod
    def left_over(draft: Draft | None) -> dict[str, str]:
        """What somebody typed and could not save, into this form or into the note before it was signed."""
        if draft is None:
            return {}
        typed = as_form_data(draft)
        parts = (typed.get(name, "").strip() for name in ("assessment", "plan", "text"))
        return {"text": "\n\n".join(part for part in parts if part)}


class PaperForm(forms.Form):
    """Which paper: `?paper=a4&addenda=0`. By default the practice's own size, with all addenda."""

    paper = forms.ChoiceField(choices=(), required=False)
    addenda = forms.IntegerField(required=False, min_value=0, max_value=10_000)

    def __init__(self, *args: Any, papers: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["paper"].choices = papers  # type: ignore[attr-defined]
