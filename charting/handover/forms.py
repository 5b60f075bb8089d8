"""Who gets the device, and what they are asked to do with it."""

from typing import Any

from django import forms

from charting.drawing.models import DrawnBy


class HandOverForm(forms.Form):
    """The patient draws, or somebody who helps them and says who they are."""

    drawn_by = forms.ChoiceField(
        label="Who draws?",
        choices=[(DrawnBy.PATIENT, "The patient"), (DrawnBy.HELPER, "Somebody who helps the patient")],
        widget=forms.RadioSelect,
        required=False,
    )
    helper = forms.CharField(
        label="Who helps? For instance daughter, interpreter", max_length=80, required=False
    )

    tells = forms.ChoiceField(
        label="What is asked?",
        choices=[("", "The drawing"), ("story", "The story, then the drawing")],
        widget=forms.RadioSelect,
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        found = {**(super().clean() or {})}
        found["tells"] = bool(found.get("tells"))
        found["drawn_by"] = found.get("drawn_by") or DrawnBy.PATIENT
        if found["drawn_by"] != DrawnBy.HELPER:
            found["helper"] = ""
        elif not found.get("helper", "").strip():
            self.add_error("helper", "Say who helps: it stands beside the drawing.")
        return found
