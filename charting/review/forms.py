"""What somebody wants to look at: months, and what narrows them down."""

from contextlib import suppress
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from bodymaps import kinds, parts
from charting.patients.models import Patient
from charting.review.chosen import MONTHS, Chosen, Month, age_bands
from charting.review.queries import clinicians_of, first_month
from charting.staff.models import User

ALL = ("", "All")
# No month before this is offered, whatever an address asks for.
EARLIEST = Month(2000, 1)


def _choice(label: str) -> forms.ChoiceField:
    wrong = {"invalid_choice": "Choose one of the list."}
    return forms.ChoiceField(label=label, choices=(), required=False, error_messages=wrong)


class ReviewForm(forms.Form):
    """Sent in the address. Left out: the last twelve months, everybody."""

    first = _choice("From")
    last = _choice("To")
    clinician = _choice("Clinician")
    part = _choice("Region of the body")
    ages = _choice("Age at the visit")
    sex = _choice("Sex")
    kind = _choice("Kind of pain")

    def __init__(self, data: Any, *, user: User) -> None:
        self.now = Month.of(timezone.now().astimezone(user.practice.zone).date())  # type: ignore[union-attr]
        self.zone = user.practice.zone  # type: ignore[union-attr]
        self.clinicians = {str(each.pk): each for each in clinicians_of(user)}
        self.usual = {"first": self.now.later(1 - MONTHS).key, "last": self.now.key}
        super().__init__({**self.usual, **{name: data[name] for name in data if data[name]}})
        months = [(month.key, month.words) for month in _months(self._earliest(user), self.now)]
        offered = {
            "first": months,
            "last": months,
            "clinician": [ALL, *((key, str(each)) for key, each in self.clinicians.items())],
            "part": [ALL, *((one.key, one.label) for one in parts.load().parts)],
            "ages": [ALL, *((str(band.least), band.words) for band in age_bands())],
            "sex": [ALL, *Patient.Sex.choices],
            "kind": [ALL, *((one.id, one.label) for one in kinds.symptoms())],
        }
        for name, choices in offered.items():
            self.fields[name].choices = choices  # type: ignore[attr-defined]

    def _earliest(self, user: User) -> Month:
        """Of the first visit; earlier where an address asks for it, or the last twelve months reach back."""
        asked = [Month.read(self.usual["first"]), first_month(user)]
        with suppress(ValueError):
            asked.append(max(Month.read(self.data["first"]), EARLIEST))
        return min(asked)

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        first, last = said.get("first"), said.get("last")
        if first and last and last < first:
            raise ValidationError("The last month lies before the first: choose a later one under To.")
        return said

    def chosen(self) -> Chosen:
        """Of a valid form."""
        said = self.cleaned_data
        return Chosen(
            first=Month.read(said["first"] or self.usual["first"]),
            last=Month.read(said["last"] or self.usual["last"]),
            zone=self.zone,
            clinician=self.clinicians.get(said["clinician"]),
            part=said["part"] or None,
            ages=next((band for band in age_bands() if str(band.least) == said["ages"]), None),
            sex=said["sex"] or None,
            kind=said["kind"] or None,
        )


def _months(first: Month, last: Month) -> list[Month]:
    """The latest first."""
    found = [last]
    while found[-1] != first:
        found.append(found[-1].later(-1))
    return found
