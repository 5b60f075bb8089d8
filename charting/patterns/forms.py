"""Turns what was typed about a pattern into clean values."""

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from bodymaps import atlas, own, own_file, words
from bodymaps.own import LONGEST
from bodymaps.patterns import STATUS, known_muscles
from charting.patterns import queries
from charting.patterns.models import PatternVersion
from charting.staff.models import User

STATUS_WORDS = {"from memory": "From memory", "checked": "Checked: I have read it there"}
AS_IT_STANDS, EMPTY = "as-it-stands", "empty"
PLAIN = {"autocomplete": "off"}


class BeginForm(forms.Form):
    """Which pattern is drawn. `id` is made with the page, so that a double tap begins one drawing."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    pattern = forms.ChoiceField(
        label="Which pattern?",
        required=False,
        help_text="A muscle of the atlas keeps its facts; your drawing replaces its zones.",
    )
    name = forms.CharField(
        label="Name of a new pattern",
        required=False,
        max_length=LONGEST["name"],
        help_text="Only for a new one. A muscle of the atlas keeps its own name.",
        widget=forms.TextInput(attrs=PLAIN),
    )
    start = forms.ChoiceField(
        label="Begin with",
        choices=[(AS_IT_STANDS, "The pattern as it stands now"), (EMPTY, "An empty figure")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what to begin with."},
    )

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.names = _names(user)
        self.fields["pattern"].choices = _choices(user)  # type: ignore[attr-defined]

    @staticmethod
    def usual(pattern: str) -> dict[str, Any]:
        return {"id": uuid.uuid4(), "pattern": pattern, "start": AS_IT_STANDS}

    def clean(self) -> dict[str, Any]:
        found = {**(super().clean() or {})}
        pattern, name = found.get("pattern", ""), found.get("name", "").strip()
        if pattern:
            found["name"] = self.names[pattern]
        elif not name:
            self.add_error("name", "Choose a muscle above, or give the new pattern a name.")
        else:
            found["pattern"] = self._new(name)
        return found

    def _new(self, name: str) -> str:
        pattern = own.new_id(name)
        same = [one for one in self.names.values() if one.casefold() == name.casefold()]
        if pattern == own.PREFIX:
            self.add_error("name", "A name needs a letter or a digit.")
        elif pattern in self.names or same:
            known = self.names.get(pattern) or same[0]
            self.add_error("name", f"There is a pattern {known} already. Choose it above.")
        return pattern

    def begins(self) -> dict[str, Any]:
        """What services.begin takes."""
        found = self.cleaned_data
        chosen = {name: found[name] for name in ("id", "pattern", "name")}
        return {**chosen, "as_it_stands": found["start"] == AS_IT_STANDS}


def _names(user: User) -> dict[str, str]:
    """Every pattern that can be drawn, by id: own ones, in use or not, and all muscles."""
    return {row.pattern: row.name for row in queries.latest_of(user.practice)} | {
        muscle: name for muscle, (name, _) in known_muscles().items()
    }


def _choices(user: User) -> list[Any]:
    known = atlas.load().muscles
    mine = [(row.pattern, words.sentence_case(row.name)) for row in queries.latest_of(user.practice)]
    new = [one for one in mine if one[0].startswith(own.PREFIX)]
    muscles = sorted(
        ((muscle, words.sentence_case(name)) for muscle, (name, _) in known_muscles().items()),
        key=lambda one: one[1].casefold(),
    )
    there = [one for one in muscles if one[0] in known]
    missing = [one for one in muscles if one[0] not in known]
    groups = [("Own patterns", new), ("Muscles of the atlas", there), ("Without a pattern so far", missing)]
    return [("", "A new one, named below"), *((label, found) for label, found in groups if found)]


class KeepForm(forms.Form):
    """What is said of a drawing that becomes a pattern. `after`: the newest version that the page showed."""

    after = forms.IntegerField(widget=forms.HiddenInput)
    work = forms.CharField(
        label="Source: work",
        max_length=LONGEST["work"],
        help_text="Book, article with year, or whose observation it is.",
        error_messages={"required": "Write where this pattern comes from."},
        widget=forms.TextInput(attrs=PLAIN),
    )
    chapter = forms.CharField(
        label="Chapter or page",
        max_length=LONGEST["chapter"],
        error_messages={"required": "Write the chapter, the page, or when it was observed."},
        widget=forms.TextInput(attrs=PLAIN),
    )
    status = forms.ChoiceField(
        label="How sure is the source?",
        choices=[(one, STATUS_WORDS[one]) for one in STATUS],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose whether you have checked the source."},
    )
    reason = forms.CharField(
        label="Why is there an own pattern?",
        max_length=LONGEST["reason"],
        help_text="It stands beside the pattern. Name no patient.",
        error_messages={"required": "Write why the practice wants its own pattern."},
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
    )
    site = forms.CharField(
        label="Where the point lies (optional)",
        required=False,
        max_length=LONGEST["site"],
        widget=forms.TextInput(attrs=PLAIN),
    )
    other_side = forms.BooleanField(label="The pain is felt on the left of the body", required=False)

    def __init__(self, *args: Any, is_left: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_left = is_left

    @staticmethod
    def usual(latest: PatternVersion | None) -> dict[str, Any]:
        """The words of the version before; why it is changed is asked anew."""
        if latest is None:
            return {"after": 0, "status": STATUS[0]}
        kept = {name: getattr(latest, name) for name in ("work", "chapter", "status", "site")}
        return {"after": latest.number, **kept}

    def clean_other_side(self) -> bool:
        if self.is_left and not self.cleaned_data["other_side"]:
            raise ValidationError(
                "More of the core lies on the left of the body, and this is the pattern of the right side. "
                "Draw it on the right, or tick this."
            )
        return bool(self.cleaned_data["other_side"])

    def kept(self) -> dict[str, Any]:
        """What services.keep takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "other_side"}


class UseForm(forms.Form):
    """Why a pattern is taken out of use, or brought back."""

    row = forms.UUIDField(widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why?",
        max_length=LONGEST["reason"],
        error_messages={"required": "Write why."},
        widget=forms.TextInput(attrs=PLAIN),
    )


class FileForm(forms.Form):
    """A file of patterns as text."""

    file = forms.FileField(
        label="File of patterns",
        help_text="As this program writes it: a .json file of at most 4 MB.",
        error_messages={"required": "Choose a file.", "empty": "This file is empty."},
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )

    def clean_file(self) -> tuple[str, str]:
        """Its name and its text."""
        sent: UploadedFile = self.cleaned_data["file"]
        if (sent.size or 0) > own_file.MOST_BYTES:
            raise ValidationError("This file is larger than 4 MB.")
        try:
            text = sent.read().decode("utf-8-sig")
        except UnicodeDecodeError as problem:
            raise ValidationError("This is no text in UTF-8, so it is no file of patterns.") from problem
        if "\x00" in text:
            raise ValidationError("This is no text, so it is no file of patterns.")
        return sent.name or "file", text


class SureForm(forms.Form):
    """That what was shown is to be done."""

    seen = forms.CharField(max_length=16, widget=forms.HiddenInput)


class GrantForm(forms.Form):
    """One clinician, and whether they may write patterns."""

    user = forms.IntegerField()
    writes = forms.BooleanField(required=False)
