"""What is looked for in the log."""

from typing import Any

from django import forms

from charting.oversight.queries import Wanted, actions, members
from charting.staff.models import Practice

ALL = ("", "All")


class LogForm(forms.Form):
    """Sent in the address: ids and numbers, no name of a patient."""

    member = forms.ChoiceField(label="Who", required=False)
    action = forms.ChoiceField(label="What", required=False)
    day = forms.DateField(
        label="Day",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Write the day as year, month, day: 2026-05-04."},
    )
    record = forms.CharField(
        label="Record number or id", required=False, max_length=64, help_text="For example 1042"
    )
    before = forms.IntegerField(required=False, widget=forms.HiddenInput, min_value=1)

    def __init__(self, data: Any, *, practice: Practice) -> None:
        super().__init__(data)
        staff = [(str(each.pk), str(each)) for each in members(practice)]
        kinds = [(each, each) for each in actions(practice)]
        self.fields["member"].choices = [ALL, *staff]  # type: ignore[attr-defined]
        self.fields["action"].choices = [ALL, *kinds]  # type: ignore[attr-defined]

    def wanted(self) -> Wanted:
        said = self.cleaned_data
        return Wanted(
            member=int(said["member"]) if said["member"] else None,
            action=said["action"],
            day=said["day"],
            record=said["record"].strip(),
            before=said["before"],
        )
