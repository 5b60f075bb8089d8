"""Turns what was typed about a payer into clean values."""

from typing import Any

from django import forms

from charting.insurance import missing_file
from charting.insurance.forms import text
from charting.insurance.models import Payer


class PayerForm(forms.Form):
    """One payer. `version` as shown, 0 for a new one."""

    NAMES = ("name", "payer_number", "street", "town", "phone", "units", "asks", "in_use")

    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    name = text("Name", 160, needed="Enter the name of the payer.")
    payer_number = text("Payer number", 60, help_text="Under which clearing offices know it.")
    street = text("Street", 120)
    town = text("Town", 120)
    phone = text("Phone", 40)
    units = forms.ChoiceField(
        label="How timed procedures are counted",
        choices=Payer.Units.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose how it counts."},
    )
    asks = forms.MultipleChoiceField(
        label="This payer also asks for",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="What is ticked here is looked for before a note or a progress report prints.",
    )
    in_use = forms.BooleanField(label="In use: offered for new policies", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered = [(one.id, one.label) for one in missing_file.asked()]
        self.fields["asks"].choices = offered  # type: ignore[attr-defined]

    def about(self) -> dict[str, Any]:
        said = {name: self.cleaned_data[name] for name in self.NAMES}
        return {**said, "asks": sorted(said["asks"])}

    @classmethod
    def values_of(cls, row: Payer | None) -> dict[str, Any]:
        if row is None:
            return {"version": 0, "units": Payer.Units.NONE, "in_use": True}
        return {"version": row.version, **{name: getattr(row, name) for name in cls.NAMES}}
