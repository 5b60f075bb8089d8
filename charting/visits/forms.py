"""Turns the start of a visit into clean values."""

from django import forms


class StartForm(forms.Form):
    """`id` is made with the page; `clinician` is left out by somebody who starts an own visit."""

    id = forms.UUIDField()
    clinician = forms.IntegerField(required=False)
