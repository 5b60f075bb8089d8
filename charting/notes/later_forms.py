"""Turns what was typed to be written into a signed note into clean values."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from charting.contacts.forms import day_meant, now_there
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data
from charting.notes import later
from charting.notes.forms import PasswordForm
from charting.notes.later_services import Entry
from charting.notes.models import Addendum, AmendmentRequest
from charting.patients.forms import DayField
from charting.patients.models import Patient

Kind = Addendum.Kind
LONGEST = Addendum._meta.get_field("text").max_length
LONGEST_WRONG = Addendum._meta.get_field("wrong").max_length
# What a note held that was signed by somebody else meanwhile, in the order of the note.
OF_NOTE = ("subjective", "objective", "assessment", "plan")


class EntryForm(PasswordForm):
    """One of four things; nothing is chosen beforehand. `accepted`: requests that may stand in this note."""

    kind = forms.ChoiceField(
        label="What is it?",
        choices=Kind.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose which of the four it is."},
    )
    request = forms.ChoiceField(
        label="Which request",
        required=False,
        error_messages={"invalid_choice": "Choose one of the requests."},
    )
    wrong = forms.CharField(
        label="The words that are wrong",
        max_length=LONGEST_WRONG,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Copied from the note as they stand there. They stay in it.",
    )
    of_day = DayField(label="Day of what is new")
    text = forms.CharField(
        label="What is to be written",
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={"required": "Write what is to stand in the note."},
    )
    field_order = ["kind", "request", "wrong", "of_day", "text", "password"]

    def __init__(
        self, *args: Any, patient: Patient, accepted: Sequence[AmendmentRequest], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.patient = patient
        self.accepted = {str(one.pk): one for one in accepted}
        named = [
            (key, f"Of {one.received_on:%-d %B %Y}: {one.words[:80]}") for key, one in self.accepted.items()
        ]
        self.fields["request"].choices = named  # type: ignore[attr-defined]

    @staticmethod
    def left_over(draft: Draft | None, patient: Patient) -> dict[str, Any]:
        """What somebody typed and could not save, into this form or into the note before it was signed."""
        today = now_there(patient).date()
        if draft is None:
            return {"of_day": today}
        typed = as_form_data(draft)
        parts = (typed.get(name, "").strip() for name in (*OF_NOTE, "text"))
        day = [typed.get(f"of_day_{part}", "") for part in ("day", "month", "year")]
        return {
            **{name: typed[name] for name in ("kind", "request", "wrong") if name in typed},
            "of_day": day if any(day) else today,
            "text": "\n\n".join(part for part in parts if part),
        }

    def clean_of_day(self) -> date | None:
        if self.data.get("kind") != Kind.ADDENDUM or not any(self.cleaned_data["of_day"]):
            return None
        return day_meant(self, "of_day", self.patient)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        kind = found.get("kind")
        if kind == Kind.CORRECTION and not found.get("wrong"):
            self.add_error("wrong", "Copy the words that are wrong out of the note.")
        if kind and kind != Kind.CORRECTION and found.get("wrong"):
            self.add_error("wrong", "Only a correction names wrong words. Choose it, or clear this box.")
        if kind == Kind.AMENDMENT and not found.get("request"):
            self.add_error("kind", "No accepted request is chosen. An amendment begins with a request.")
        return found

    def entry(self) -> Entry:
        clean = self.cleaned_data
        request = self.accepted.get(clean["request"]) if clean["kind"] == Kind.AMENDMENT else None
        return Entry(clean["kind"], clean["text"], clean["of_day"], clean["wrong"], request)

    def kinds(self) -> tuple[later.Kind, ...]:
        """With the sentence that tells one from the others."""
        return tuple(later.load().values())
