"""Turns what is typed about a consent text into clean values."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.forms import BoundField

from charting.consent.texts import COMMON, ConsentText, Part

MOST_PARTS, SPARE = 24, 2
OFF = {"autocomplete": "off"}


@dataclass(frozen=True)
class PartRow:
    """The fields of one part, in the order of the page."""

    place: BoundField
    heading: BoundField
    words: BoundField
    sources: BoundField
    number: int
    is_spare: bool


class WordingForm(forms.Form):
    """Title, purpose, parts, and the reason of the change. A part without words is left out."""

    based_on = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    rows_shown = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=MOST_PARTS)
    title = forms.CharField(label="Title", max_length=200, widget=forms.TextInput(attrs=OFF))
    for_what = forms.CharField(
        label="For what, in one line", max_length=200, widget=forms.TextInput(attrs=OFF)
    )
    reason = forms.CharField(
        label="Reason for this change",
        max_length=300,
        help_text="It stays beside the version, with your name and the time.",
        widget=forms.TextInput(attrs=OFF),
        error_messages={"required": "Write why the text is changed."},
    )

    PART: ClassVar = ("place", "heading", "words", "sources")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        said = str(self.data.get("rows_shown") if self.is_bound else self.initial.get("rows_shown"))
        self.count = min(max(int(said), 1), MOST_PARTS) if said.isdecimal() else SPARE
        for number in range(self.count):
            self.fields.update(_part_fields(number))

    @staticmethod
    def of(text: ConsentText) -> dict[str, Any]:
        """Initial values: the text as it stands, and room for more."""
        said: dict[str, Any] = {"based_on": text.version, "title": text.title, "for_what": text.for_what}
        for number, part in enumerate(text.parts):
            sources = [source for source in part.sources if source != COMMON]
            said |= {
                f"place_{number}": number + 1,
                f"heading_{number}": part.heading,
                f"words_{number}": part.words,
                f"sources_{number}": "\n".join(sources),
            }
        return {**said, "rows_shown": min(len(text.parts) + SPARE, MOST_PARTS)}

    def rows(self) -> Iterator[PartRow]:
        for number in range(self.count):
            fields = {name: self[f"{name}_{number}"] for name in self.PART}
            yield PartRow(**fields, number=number + 1, is_spare=not fields["words"].value())

    def clean(self) -> dict[str, Any]:
        said = super().clean() or self.cleaned_data
        kept = [
            number
            for number in range(self.count)
            if said.get(f"words_{number}") or said.get(f"heading_{number}")
        ]
        if not kept:
            self.add_error(None, "A text needs at least one part.")
        for number in kept:
            self._check(number, self._part(number))
        return said

    def parts(self) -> tuple[Part, ...]:
        said = self.cleaned_data
        kept = [number for number in range(self.count) if said.get(f"words_{number}")]
        placed = sorted(kept, key=lambda number: (said.get(f"place_{number}") or MOST_PARTS, number))
        return tuple(self._part(number) for number in placed)

    def worded(self) -> dict[str, Any]:
        said = {name: self.cleaned_data[name] for name in ("based_on", "title", "for_what", "reason")}
        return {**said, "parts": self.parts()}

    def _part(self, number: int) -> Part:
        said = self.cleaned_data
        lines = [line.strip() for line in said.get(f"sources_{number}", "").splitlines()]
        sources = tuple(line for line in lines if line) or (COMMON,)
        return Part(said.get(f"heading_{number}", ""), said.get(f"words_{number}", ""), sources)

    def _check(self, number: int, part: Part) -> None:
        if not part.heading:
            self.add_error(f"heading_{number}", "Give this part a heading.")
        if not part.words:
            self.add_error(
                f"words_{number}", f"The part “{part.heading}” has no words. Empty both to leave it out."
            )
        if part.lacks_source:
            self.add_error(
                f"sources_{number}",
                f"The part “{part.heading}” tells a rate. Name the published source it is from.",
            )


class UseForm(forms.Form):
    """Why a text is taken out of use, or brought back."""

    based_on = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    reason = forms.CharField(
        label="Reason",
        max_length=300,
        widget=forms.TextInput(attrs=OFF),
        error_messages={"required": "Write the reason."},
    )


def _part_fields(number: int) -> dict[str, forms.Field]:
    nth = f"part {number + 1}"
    return {
        f"place_{number}": forms.IntegerField(
            label=f"Place of {nth}",
            required=False,
            min_value=1,
            max_value=99,
            widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "place", **OFF}),
        ),
        f"heading_{number}": forms.CharField(
            label=f"Heading of {nth}", required=False, max_length=120, widget=forms.TextInput(attrs=OFF)
        ),
        f"words_{number}": forms.CharField(
            label=f"Words of {nth}", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 5})
        ),
        f"sources_{number}": forms.CharField(
            label=f"Sources of {nth}, one on a line",
            required=False,
            max_length=1000,
            help_text="Author, year, journal. None: common practice. A rate needs one.",
            widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
        ),
    }
