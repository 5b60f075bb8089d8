"""Turns what was chosen about two records into clean values."""

from collections.abc import Iterable
from typing import Any

from django import forms

from charting.merging.apart import Since
from charting.merging.services import GONE, KEPT, TELLING_APART, differing, to_choose
from charting.patients.forms import PatientForm
from charting.patients.models import Patient


class NumberForm(forms.Form):
    """The number of the other record."""

    record = forms.IntegerField(
        label="Number of the other record",
        min_value=1,
        max_value=2_000_000_000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"required": "Enter the number of the other record."},
    )


class MergeForm(forms.Form):
    """Which values stay, which record goes, and how that is known. `seen`: the two records as shown."""

    seen = forms.CharField(max_length=16, widget=forms.HiddenInput)
    named = forms.CharField(max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    known = forms.MultipleChoiceField(required=False, widget=forms.CheckboxSelectMultiple)
    reason = forms.CharField(
        label="How do you know that they are one person?",
        max_length=500,
        error_messages={"required": "Write how you know that they are one person."},
        help_text="For example: asked on the phone, same address and identity card.",
        widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
    )

    def __init__(self, *args: Any, kept: Patient, gone: Patient, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        what = "Record number" if kept.birth_date == gone.birth_date else "Record number or date of birth"
        self.fields["named"].label = f"{what} of the record that goes"
        self.fields["named"].error_messages["required"] = f"Type the {what.lower()} of the record that goes."
        apart = [(name, f"I know that the {TELLING_APART[name]} differs") for name in differing(kept, gone)]
        self.fields["known"].choices = apart  # type: ignore[attr-defined]
        self.fields["known"].label = "What differs"
        for name in to_choose(kept, gone):
            self.fields[f"value_{name}"] = forms.ChoiceField(
                label=label_of(name), choices=((KEPT, "stays"), (GONE, "goes"))
            )

    @staticmethod
    def usual(kept: Patient, gone: Patient, seen: str) -> dict[str, str]:
        """The record that stays is right, unless it says nothing."""
        empty = ("", Patient.Sex.UNKNOWN)
        usual = {
            f"value_{name}": GONE if getattr(kept, name) in empty else KEPT for name in to_choose(kept, gone)
        }
        return {**usual, "seen": seen}

    def says(self) -> dict[str, Any]:
        """What services.merge takes."""
        found = self.cleaned_data
        values = {
            name.removeprefix("value_"): value for name, value in found.items() if name.startswith("value_")
        }
        return {
            **{name: found[name] for name in ("seen", "named", "reason")},
            "known": frozenset(found["known"]),
            "values": values,
        }


def label_of(name: str) -> str:
    said = PatientForm.base_fields[name].label
    return str(said or name.replace("_", " ").capitalize()).removesuffix(" (optional)")


class ApartForm(forms.Form):
    """Whose each row is that was made since, and how it is known that they are two people."""

    reason = forms.CharField(
        label="How do you know that they are two people?",
        max_length=500,
        error_messages={"required": "Write how you know that they are two people."},
        widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
    )

    def __init__(self, *args: Any, since: Iterable[Since], words: dict[str, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.keys = tuple(one.key for one in since)
        for key in self.keys:
            self.fields[key] = forms.ChoiceField(
                label=words[key],
                choices=((KEPT, words[KEPT]), (GONE, words[GONE])),
                widget=forms.RadioSelect,
                error_messages={"required": "Say whose this is."},
            )

    def choices(self) -> dict[str, str]:
        return {key: self.cleaned_data[key] for key in self.keys}
