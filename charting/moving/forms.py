"""Turns the choice of another chart into clean values."""

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import Http404

from charting.drawing.sources import TITLES as LAYER_TITLES
from charting.moving import queries
from charting.moving.services import LONGEST_REASON
from charting.staff.models import User
from charting.visits.models import Visit

# The answer of somebody who can't say whose drawing it is, or whose visit is not begun.
NOWHERE = "nowhere"


class ReasonForm(forms.Form):
    """Why a struck drawing is brought back."""

    reason = forms.CharField(
        label="Why does it belong here after all?",
        max_length=LONGEST_REASON,
        error_messages={"required": "Write why it belongs here after all."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class MoveForm(forms.Form):
    """Where the drawing goes, and why. `q` narrows the list of visits and moves nothing."""

    q = forms.CharField(required=False, max_length=120)
    to = forms.CharField(
        label="Whose drawing is it?",
        max_length=40,
        error_messages={"required": "Choose whose drawing it is."},
    )
    layers = forms.MultipleChoiceField(
        label="Which lines?",
        choices=list(LAYER_TITLES.items()),
        error_messages={"required": "Choose which lines are moved."},
    )
    reason = forms.CharField(
        label="Why is it wrong here?",
        help_text="This stands in the note of this visit. Don't name the other person.",
        max_length=LONGEST_REASON,
        error_messages={"required": "Write why the drawing is wrong here."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, user: User, visit: Visit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user, self.visit = user, visit

    def clean_to(self) -> Visit | None:
        """The chosen visit, or None for nobody in the list."""
        if self.cleaned_data["to"] == NOWHERE:
            return None
        try:
            return queries.target_of(self.user, self.visit, uuid.UUID(self.cleaned_data["to"]))
        except (ValueError, Http404) as problem:
            raise ValidationError("That visit is not open any more. Choose again.") from problem
