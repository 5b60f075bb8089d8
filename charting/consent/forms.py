"""Turns what is typed on the pages of consent into clean values."""

from typing import Any, ClassVar

from django import forms

from bodymaps.reasoning import consent_areas
from charting.consent import circumstances, signature, texts
from charting.consent.circumstances import Circumstances
from charting.consent.models import Chaperone, Consent
from charting.consent.texts import ConsentText

OFF = {"autocomplete": "off"}
# How a consent was taken back.
WAYS = ("in person", "by telephone", "in writing")


def _line(label: str, **more: Any) -> forms.CharField:
    widget = forms.TextInput(attrs=OFF)
    return forms.CharField(label=label, required=False, max_length=160, widget=widget, **more)


def _chaperone() -> forms.ChoiceField:
    said = [(value, label.capitalize()) for value, label in Chaperone.choices]
    return forms.ChoiceField(label="Chaperone", required=False, choices=said, widget=forms.RadioSelect)


class SignForm(forms.Form):
    """Who signs and for what, what was asked, and the signature: drawn (`ink`), or by the typed name."""

    allows = forms.MultipleChoiceField(
        label="What is agreed to here", required=False, widget=forms.CheckboxSelectMultiple
    )
    areas = forms.MultipleChoiceField(
        label="Areas that are agreed to", required=False, widget=forms.CheckboxSelectMultiple
    )
    questions = forms.CharField(
        label="Questions asked, and answers (optional)",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
    )
    chaperone = _chaperone()
    chaperone_name = _line("Name of the chaperone")
    interpreter = _line("Interpreter (optional)", help_text="Name, and language.")
    signer = forms.ChoiceField(
        label="Who signs",
        choices=[(value, label.capitalize()) for value, label in Consent.Signer.choices],
        widget=forms.RadioSelect,
        initial="patient",
    )
    guardian_relation = forms.CharField(
        label="Relation of a parent or guardian",
        required=False,
        max_length=80,
        help_text="Only when somebody signs for the patient: mother, legal guardian.",
        widget=forms.TextInput(attrs=OFF),
    )
    signer_name = forms.CharField(
        label="Name of the person who signs",
        max_length=160,
        widget=forms.TextInput(attrs=OFF),
    )
    ink = forms.CharField(label="Signature", required=False, widget=forms.HiddenInput)
    by_typed_name = forms.BooleanField(
        label="I can't or don't want to draw: my name typed above is my signature.", required=False
    )
    device_time = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    answers_read = forms.CharField(required=False, max_length=16, widget=forms.HiddenInput)

    # Never brought back from a draft or for another version: signed once, for the words on the page.
    GIVEN_ONCE: ClassVar = {"ink", "by_typed_name", "device_time", "version", "answers_read"}
    AROUND: ClassVar = ("guardian_relation", "interpreter", "chaperone", "chaperone_name")
    SIGNED: ClassVar = ("signer", "signer_name", "questions", "signature", "by_typed_name", "device_time")

    def __init__(self, *args: Any, text: ConsentText, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.text = text
        self._choose("areas", [(key, _words(key)) for key in circumstances.choices_for(text)])
        self._choose("allows", [(each.id, each.words.capitalize()) for each in texts.procedures().values()])
        if not text.sensitive:
            del self.fields["allows"]
        elif len(circumstances.choices_for(text)) == 1:
            del self.fields["areas"]
        elif "areas" in self.fields:
            self.fields["areas"].label = "Side"
        self.fields["chaperone"].label = "Chaperone" if text.sensitive else "Chaperone (optional)"

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        cleaned["signature"] = []
        if not cleaned.get("by_typed_name"):
            try:
                cleaned["signature"] = signature.read(cleaned.get("ink") or "[]")
            except signature.NoSignature as problem:
                self.add_error("ink", str(problem))
        self.mark(circumstances.missing(self.text, cleaned.get("signer", ""), self.around()))
        return cleaned

    def mark(self, missing: dict[str, str]) -> None:
        for name, words in missing.items():
            if name not in self.errors:
                self.add_error(name if name in self.fields else None, words)

    def around(self) -> Circumstances:
        said = self.cleaned_data
        areas = (
            tuple(said.get("areas", ())) if "areas" in self.fields else circumstances.choices_for(self.text)
        )
        return Circumstances(
            allows=tuple(said.get("allows", ())),
            areas=areas,
            **{name: said.get(name, "") for name in self.AROUND},
        )

    def signed(self) -> dict[str, Any]:
        """What the record keeps."""
        said = {name: self.cleaned_data[name] for name in self.SIGNED}
        return {**said, "around": self.around(), "answers_read": self.cleaned_data["answers_read"]}

    def again(self) -> dict[str, Any]:
        """What was typed, for another version of the words; without what is given once."""
        return {name: self[name].value() for name in self.fields if name not in self.GIVEN_ONCE}

    def _choose(self, name: str, choices: list[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]


class ConfirmForm(forms.Form):
    """What is recorded when a consent of an earlier visit is confirmed by word of mouth."""

    questions = forms.CharField(
        label="Questions asked, and answers (optional)",
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
    )
    chaperone = _chaperone()
    chaperone_name = _line("Name of the chaperone")

    def __init__(self, *args: Any, sensitive: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sensitive = sensitive
        if not sensitive:
            del self.fields["chaperone"], self.fields["chaperone_name"]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        lacking = circumstances.about_chaperone(
            self.sensitive, said.get("chaperone", ""), said.get("chaperone_name", "")
        )
        for name, words in lacking.items():
            if name not in self.errors:
                self.add_error(name, words)
        return said


class WithdrawForm(forms.Form):
    """Who took a consent back, how, and in which words."""

    said_by = forms.CharField(label="Who took it back", max_length=120, widget=forms.TextInput(attrs=OFF))
    way = forms.ChoiceField(
        label="How it was said",
        choices=[(way, way.capitalize()) for way in WAYS],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose how it was said."},
    )
    words = forms.CharField(
        label="In which words (optional)",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
    )
    which = forms.MultipleChoiceField(
        label="What is taken back",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick what is taken back."},
    )

    def __init__(self, *args: Any, choices: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["which"].choices = choices  # type: ignore[attr-defined]

    def withdrawn(self) -> dict[str, str]:
        said = self.cleaned_data
        return {"said_by": f"{said['said_by']}, {said['way']}", "words": said["words"]}


def _words(key: str) -> str:
    words = consent_areas.words_of(key)
    return words[:1].upper() + words[1:]
