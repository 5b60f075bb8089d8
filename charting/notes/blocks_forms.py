"""Turns a typed text block into clean values."""

from typing import Any

from django import forms

from charting.notes.models import Section, TextBlock


class BlockForm(forms.Form):
    """One text block. `version` is that of the block which the page showed, 0 for a new one."""

    section = forms.ChoiceField(label="Heading of the note", choices=Section.choices)
    title = forms.CharField(
        max_length=TextBlock._meta.get_field("title").max_length,
        help_text="What stands on the button.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    words = forms.CharField(
        max_length=TextBlock._meta.get_field("words").max_length,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="Put in as it stands here, to be changed in the note. Nothing that has to be found first.",
    )
    in_use = forms.BooleanField(label="In use: offered in every note", required=False, initial=True)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, initial=0)

    @classmethod
    def of(cls, block: TextBlock, typed: dict[str, Any]) -> "BlockForm":
        saved = {name: getattr(block, name) for name in cls.base_fields}
        return cls(initial={**saved, **typed})

    @property
    def said(self) -> dict[str, Any]:
        names = ("section", "title", "words")
        return {name: self.cleaned_data[name] for name in names}
