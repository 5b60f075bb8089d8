"""Turns the start of a visit, and what it is about, into clean values."""

from typing import Any
from uuid import UUID

from django import forms
from django.utils import timezone

from charting.episodes.models import Episode
from charting.episodes.queries import episodes_of
from charting.episodes.services import LONGEST_TITLE, LONGEST_WORDS, About
from charting.patients.models import Patient

NEW = "new"


class StartForm(forms.Form):
    """`id` is made with the page; `clinician` is left out by somebody who starts an own visit."""

    id = forms.UUIDField()
    clinician = forms.IntegerField(required=False)


class ComplaintForm(forms.Form):
    """What a visit is about: a complaint under care, a discharged one again, or a new one."""

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    which = forms.ChoiceField(
        label="What is it about?",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what the visit is about."},
    )
    words = forms.CharField(
        label="Why the same complaint is seen again",
        max_length=LONGEST_WORDS,
        required=False,
        help_text="Only for a complaint that was discharged: it is reopened with these words.",
        widget=forms.Textarea(attrs={"rows": 2, "class": "short"}),
    )
    title = forms.CharField(
        label="Title of a new complaint",
        max_length=LONGEST_TITLE,
        required=False,
        help_text="A few words, for example: right shoulder.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, patient: Patient, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.episodes = {str(each.pk): each for each in episodes_of(patient)}
        known = [(key, _in_words(each, patient)) for key, each in self.episodes.items()]
        self.fields["which"].choices = [*known, (NEW, "A new complaint")]  # type: ignore[attr-defined]

    @property
    def has_discharged(self) -> bool:
        return any(not each.is_open for each in self.episodes.values())

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        chosen = self.episodes.get(found.get("which", ""))
        if found.get("which") == NEW and not found.get("title") and "title" not in self.errors:
            self.add_error("title", "Give the new complaint a title.")
        if chosen and not chosen.is_open and not found.get("words") and "words" not in self.errors:
            self.add_error("words", "Write why the same complaint is seen again.")
        return found

    def about(self) -> About:
        said = self.cleaned_data
        if said["which"] == NEW:
            return About(is_new=True, title=said["title"])
        return About(episode=UUID(said["which"]), words=said["words"])


def _in_words(episode: Episode, patient: Patient) -> str:
    if episode.closed_at is None:
        return f"{called(episode, patient)}: goes on"
    day = timezone.localtime(episode.closed_at, patient.practice.zone)
    return f"{called(episode, patient)} again, discharged on {day.day} {day:%B %Y}"


def called(episode: Episode, patient: Patient) -> str:
    """The title, or since when, while nobody gave it one."""
    begun = timezone.localtime(episode.opened_at, patient.practice.zone)
    return episode.title or f"Care since {begun.day} {begun:%B %Y}"
