"""Who gets the device, and what they are asked to do with it."""

import re
from typing import Any

from django import forms

from charting.drawing.models import DrawnBy
from charting.handover.parts import CHANGES, CONSENT, SCORES


class AsksField(forms.MultipleChoiceField):
    """Parts that follow the drawing (handover.parts). Which texts can be read is known to those who show
    them.
    """

    def valid_value(self, value: str) -> bool:
        return value == SCORES or re.fullmatch(CONSENT + r"[a-z0-9_-]{1,60}", value) is not None


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
        label="Questions before the drawing",
        choices=[
            ("", "None"),
            ("story", "The whole story"),
            (CHANGES, "What has changed since the last visit"),
        ],
        widget=forms.RadioSelect,
        required=False,
    )
    asks = AsksField(label="After the drawing", required=False, widget=forms.CheckboxSelectMultiple)

    def clean(self) -> dict[str, Any]:
        found = {**(super().clean() or {})}
        only_changes = [CHANGES] if found.get("tells") == CHANGES else []
        found["asks"] = [*only_changes, *found.get("asks", [])]
        found["tells"] = bool(found.get("tells"))
        found["drawn_by"] = found.get("drawn_by") or DrawnBy.PATIENT
        if found["drawn_by"] != DrawnBy.HELPER:
            found["helper"] = ""
        elif not found.get("helper", "").strip():
            self.add_error("helper", "Say who helps: it stands beside the drawing.")
        return found
