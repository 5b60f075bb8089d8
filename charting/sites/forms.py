"""Turns what was typed about sites and emergencies into clean values."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from charting.patients.dates import WrongPart, birth_date
from charting.patients.forms import DayField
from charting.sites.emergency_queries import Sought
from charting.sites.emergency_services import LONGEST, SHORTEST_REASON
from charting.sites.queries import Place
from charting.staff.models import Site


def line(label: str, longest: int, *, needed: str = "", **attrs: str) -> forms.CharField:
    return forms.CharField(
        label=label if needed else f"{label} (optional)",
        max_length=longest,
        required=bool(needed),
        widget=forms.TextInput(attrs={"autocomplete": "off", **attrs}),
        error_messages={"required": needed},
    )


class SiteForm(forms.Form):
    """One site. `version` as shown, 0 for a new one."""

    NAMES = ("name", "street", "town", "phone")

    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    name = line("Name", 120, needed="Enter the name of the site.")
    street = line("Street", 120)
    town = line("Town", 120)
    phone = line("Phone", 40, inputmode="tel")

    def about(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in self.NAMES}

    @classmethod
    def values_of(cls, row: Site) -> dict[str, Any]:
        return {name: getattr(row, name) for name in (*cls.NAMES, "version")}


class OneSiteForm(forms.Form):
    """A site of a list."""

    site = forms.ModelChoiceField(
        queryset=Site.objects.none(),
        label="Site",
        required=False,
        empty_label="Choose a site",
        widget=forms.Select(attrs={"class": "fit"}),
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)

    def __init__(self, *args: Any, sites: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["site"].queryset = sites  # type: ignore[attr-defined]


class PlacesForm(forms.Form):
    """Where a person is seen. `shown`: the sites as they stood on the page."""

    shown = forms.CharField(widget=forms.HiddenInput, required=False, max_length=2000)
    sites = forms.MultipleChoiceField(
        label="Seen at",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, places: Sequence[Place], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._sites = {str(one.site.pk): one.site for one in places}
        closed = {True: "", False: " (closed)"}
        self.fields["sites"].choices = [  # type: ignore[attr-defined]
            (key, f"{site.name}{closed[site.in_use]}") for key, site in self._sites.items()
        ]

    def clean_shown(self) -> frozenset[int]:
        return frozenset(int(one) for one in self.cleaned_data["shown"].split() if one.isdecimal())

    def chosen(self) -> tuple[Site, ...]:
        return tuple(self._sites[key] for key in self.cleaned_data["sites"])

    @classmethod
    def values_of(cls, places: Sequence[Place]) -> dict[str, Any]:
        here = [str(one.site.pk) for one in places if one.here]
        return {"sites": here, "shown": " ".join(here)}


class EmergencyForm(forms.Form):
    """Whose chart, and why. Nothing is looked up before all of it is there."""

    number = forms.IntegerField(
        label="Record number",
        required=False,
        min_value=1,
        max_value=2_000_000_000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": "Enter the record number in figures."},
    )
    name = line("Full name", 160)
    birth_date = DayField(label="Date of birth", help_text="Day, month as a number or a name, year.")
    reason = forms.CharField(
        label="Reason",
        min_length=SHORTEST_REASON,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        help_text="What happened, and why it can't wait. The owners of the practice read it.",
        error_messages={
            "required": "Write the reason.",
            "min_length": f"Write the reason in at least {SHORTEST_REASON} characters.",
        },
    )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("number") or "number" in self.errors:
            return found
        if not found.get("name"):
            self.add_error("number", "Enter the record number, or the full name with the date of birth.")
        found["born"] = self._born(found.get("birth_date") or ["", "", ""])
        return found

    def sought(self) -> Sought:
        clean = self.cleaned_data
        return Sought(clean["number"], clean["name"], clean.get("born"))

    def _born(self, parts: Sequence[str]) -> Any:
        try:
            return birth_date(*parts, today=timezone.localdate())
        except WrongPart as problem:
            self.fields["birth_date"].widget.wrong = problem.part
            self.add_error("birth_date", ValidationError(str(problem)))
            return None


class LookedForm(forms.Form):
    remark = forms.CharField(
        label="What you made of it",
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        error_messages={"required": "Write what you made of it."},
    )
