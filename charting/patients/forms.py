"""Turns what was typed about a person into clean values."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from charting.patients.dates import WrongPart, birth_date
from charting.patients.models import Patient
from charting.staff.models import Site

PARTS = ("day", "month", "year")


def _box(part: str) -> forms.Widget:
    attrs: dict[str, Any] = {"autocomplete": f"bday-{part}", "maxlength": 12}
    if part != "month":
        attrs["inputmode"] = "numeric"
    return forms.TextInput(attrs=attrs)


class BirthDateBoxes(forms.MultiWidget):
    """Three text boxes. A date one knows by heart is typed faster than picked."""

    template_name = "forms/birth_date.html"
    use_fieldset = True

    def __init__(self) -> None:
        super().__init__({part: _box(part) for part in PARTS})
        self.wrong = ""

    def decompress(self, value: date | None) -> list[Any]:
        return [value.day, value.month, value.year] if value else ["", "", ""]

    def id_for_label(self, id_: str) -> str:
        """The first box, or the wrong one: where the summary of errors leads to."""
        return f"{id_}_{PARTS.index(self.wrong) if self.wrong else 0}"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        for part, box in zip(PARTS, context["widget"]["subwidgets"], strict=True):
            box["part"] = part
            box["attrs"].pop("aria-invalid", None)
            if part == self.wrong:
                box["attrs"]["aria-invalid"] = "true"
        return context


class BirthDateField(forms.MultiValueField):
    """A date of birth from three boxes; an error names the part and marks its box only."""

    widget = BirthDateBoxes

    def __init__(self, **kwargs: Any) -> None:
        boxes = tuple(forms.CharField(max_length=12, required=False) for _ in PARTS)
        super().__init__(boxes, require_all_fields=False, **kwargs)

    def clean(self, value: Any) -> date:
        day, month, year = (str(part or "") for part in (value or ["", "", ""]))
        try:
            return birth_date(day, month, year, today=timezone.localdate())
        except WrongPart as problem:
            self.widget.wrong = problem.part
            raise ValidationError(str(problem), code=problem.part) from problem


class DayBoxes(BirthDateBoxes):
    """Three text boxes for any day: no browser fills a date of birth in."""

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        for box in context["widget"]["subwidgets"]:
            box["attrs"]["autocomplete"] = "off"
        return context


class DayField(forms.MultiValueField):
    """Three typed parts as they are: which day they mean is for the form to say."""

    widget = DayBoxes

    def __init__(self, **kwargs: Any) -> None:
        boxes = tuple(forms.CharField(max_length=12, required=False) for _ in PARTS)
        super().__init__(boxes, require_all_fields=False, required=False, **kwargs)

    def compress(self, data_list: list[str]) -> list[str]:
        return [str(part or "") for part in data_list] or ["", "", ""]


class PatientForm(forms.Form):
    """One person. `id` is made with the page, so that a double tap makes one person; `version` as shown."""

    family_name = forms.CharField(
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Enter the family name."},
    )
    given_names = forms.CharField(
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Enter the given names."},
    )
    birth_date = BirthDateField(
        label="Date of birth", help_text="Day, month as a number or a name, year. For example 7 March 1975."
    )
    sex = forms.ChoiceField(
        label="Sex (optional)",
        choices=Patient.Sex.choices,
        required=False,
        widget=forms.Select(attrs={"class": "fit"}),
        help_text="Some questions and signs of danger concern one sex only, pregnancy for instance. "
        "Left as not recorded, all of them are asked.",
    )
    phone = forms.CharField(
        label="Phone (optional)",
        max_length=32,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
    )
    email = forms.EmailField(
        label="E-mail (optional)", required=False, widget=forms.EmailInput(attrs={"autocomplete": "off"})
    )
    address = forms.CharField(
        label="Address (optional)",
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
    )
    remarks = forms.CharField(
        label="Remarks (optional)",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3, "class": "short"}),
        help_text="What the whole team should know. No clinical findings.",
    )
    emergency_name = forms.CharField(
        label="Emergency contact (optional)",
        max_length=160,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    emergency_relation = forms.CharField(
        label="Relation to the patient (optional)",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "For example daughter"}),
    )
    emergency_phone = forms.CharField(
        label="Number to call (optional)",
        max_length=32,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
    )
    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)

    ABOUT = (
        *("family_name", "given_names", "birth_date", "sex", "phone", "email", "address", "remarks"),
        *("emergency_name", "emergency_relation", "emergency_phone"),
    )

    def clean_sex(self) -> str:
        return self.cleaned_data["sex"] or Patient.Sex.UNKNOWN

    def clean(self) -> dict[str, Any]:
        """A relation or a number without a name helps nobody in an emergency."""
        found = super().clean() or self.cleaned_data
        beside = found.get("emergency_relation") or found.get("emergency_phone")
        if beside and not found.get("emergency_name"):
            self.add_error("emergency_name", "Enter the name of the person to call.")
        return found

    def about(self) -> dict[str, Any]:
        """The clean values that describe the person."""
        return {name: self.cleaned_data[name] for name in self.ABOUT}

    @classmethod
    def values_of(cls, patient: Patient) -> dict[str, Any]:
        return {name: getattr(patient, name) for name in (*cls.ABOUT, "version")}


class NewPatientForm(PatientForm):
    """Somebody new; in a practice of several sites also where the person is seen."""

    def __init__(self, *args: Any, sites: Sequence[Site], own: Sequence[Site], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._sites = {str(site.pk): site for site in sites}
        self._own = {str(site.pk) for site in own}
        if not sites:
            return
        self.fields["sites"] = forms.MultipleChoiceField(
            label="Where is this person seen?",
            choices=[(key, site.name) for key, site in self._sites.items()],
            widget=forms.CheckboxSelectMultiple,
            initial=sorted(self._own) if len(self._own) == 1 else [],
            help_text="Who works at one of these sites can open the record.",
            error_messages={"required": "Tick at least one site."},
        )

    def clean_sites(self) -> list[str]:
        said: list[str] = self.cleaned_data["sites"]
        if not self._own.intersection(said):
            raise ValidationError("Tick at least one site where you work: you could not open the record.")
        return said

    def where(self) -> tuple[Site, ...]:
        return tuple(self._sites[key] for key in self.cleaned_data.get("sites", ()))


class SearchForm(forms.Form):
    """What to look for. Posted, so that no name stands in an address or a log."""

    q = forms.CharField(required=False, max_length=120)
