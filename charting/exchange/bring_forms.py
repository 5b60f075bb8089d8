"""Turns a file and what was said of it into clean values."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from charting.exchange.plans import Question, Reader

MEGABYTE = 1_000_000


class SaidForm(forms.Form):
    """The questions about one kind of file."""

    def __init__(self, *args: Any, questions: tuple[Question, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for one in questions:
            self.fields[one.name] = forms.ChoiceField(
                label=one.label,
                choices=one.choices,
                help_text=one.help_text,
                widget=forms.RadioSelect,
                error_messages={"required": f"{one.label}: choose one."},
            )


class BringForm(SaidForm):
    """A file, and what only the person who brings it can say of it."""

    file = forms.FileField(
        label="File", error_messages={"required": "Choose a file.", "empty": "This file is empty."}
    )

    def __init__(self, *args: Any, reader: Reader, **kwargs: Any) -> None:
        super().__init__(*args, questions=reader.questions, **kwargs)
        self.most = reader.most_bytes
        self.fields["file"].widget.attrs["accept"] = reader.suffixes
        self.fields["file"].help_text = reader.help_text

    def clean_file(self) -> tuple[str, bytes]:
        """Its name and what is in it."""
        sent: UploadedFile = self.cleaned_data["file"]
        if (sent.size or 0) > self.most:
            raise ValidationError(
                f"This file is larger than {self.most // MEGABYTE} MB. Divide it into several."
            )
        return sent.name or "file", sent.read()

    def said(self) -> dict[str, str]:
        return {name: value for name, value in self.cleaned_data.items() if name != "file"}


class SureForm(forms.Form):
    """That what was shown is to be done."""

    seen = forms.CharField(max_length=16, widget=forms.HiddenInput)
