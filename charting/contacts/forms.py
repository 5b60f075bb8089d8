"""Turns what was typed about a contact or a paper into clean values."""

import uuid
from datetime import UTC, date, datetime, time
from typing import Any, ClassVar

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from charting.contacts import decoding
from charting.contacts.models import Attachment, Contact
from charting.contacts.queries import Line, ways_written_by
from charting.contacts.services import AHEAD, LONGEST_WHY, LONGEST_WORDS
from charting.patients.dates import WrongPart, past_day
from charting.patients.forms import DayField
from charting.patients.models import Patient
from charting.staff.models import User

MOST_MB = decoding.MOST_BYTES // 1024**2
TOO_LARGE = f"This file is too large: at most {MOST_MB} MB. Save it smaller, and add that."
CLOCK_FORWARD = "The clock was set forward then, so there was no such time. Enter the time after the change."


def now_there(patient: Patient) -> datetime:
    """Now, by the clock of the practice."""
    return timezone.now().astimezone(patient.practice.zone)


def day_meant(form: forms.Form, name: str, patient: Patient) -> date:
    """A day of three typed parts in the life of a person, not after today. Marks the box that is wrong."""
    try:
        return past_day(
            *form.cleaned_data[name],
            earliest=patient.birth_date,
            today=now_there(patient).date(),
            before="The day must not be before the date of birth.",
        )
    except WrongPart as problem:
        form.fields[name].widget.wrong = problem.part
        raise ValidationError(str(problem), code=problem.part) from problem


class ContactForm(forms.Form):
    """One line of the log. `id` is made with the page, so that a double tap makes one line."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    way = forms.ChoiceField(
        label="Kind of contact",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what it was."},
    )
    day = DayField(label="Date")
    at = forms.TimeField(
        label="Time",
        input_formats=["%H:%M", "%H.%M", "%H:%M:%S", "%I:%M %p"],
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": 8, "class": "time"}),
        error_messages={
            "required": "Enter the time.",
            "invalid": "Enter the time as hours and minutes: 14:05.",
        },
    )
    words = forms.CharField(
        label="What was said or done",
        max_length=LONGEST_WORDS,
        widget=forms.Textarea(attrs={"rows": 4, "class": "short"}),
        error_messages={"required": "Write what was said or done."},
    )
    needs_follow_up = forms.BooleanField(label="Somebody is still to follow this up", required=False)

    SAID: ClassVar = ("id", "way", "words", "needs_follow_up")

    def __init__(self, *args: Any, user: User, patient: Patient, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.patient = patient
        ways = ways_written_by(user)
        self.fields["way"].choices = [(way.value, way.label) for way in Contact.Way if way in ways]  # type: ignore[attr-defined]

    @staticmethod
    def usual(patient: Patient) -> dict[str, Any]:
        """Just now."""
        now = now_there(patient)
        return {"id": uuid.uuid4(), "day": now.date(), "at": f"{now:%H:%M}"}

    @classmethod
    def settling(cls, line: Line) -> dict[str, Any]:
        """Most often somebody called back, just now."""
        return {**cls.usual(line.contact.patient), "way": Contact.Way.CALL_TO}

    @classmethod
    def correcting(cls, line: Line) -> dict[str, Any]:
        """The wrong line as it stands, to be put right."""
        wrong = line.contact
        then = wrong.happened_at.astimezone(wrong.patient.practice.zone)
        said = {"way": wrong.way, "words": wrong.words, "needs_follow_up": line.is_open}
        return {"id": uuid.uuid4(), "day": then.date(), "at": f"{then:%H:%M}", **said}

    def clean_day(self) -> date:
        return day_meant(self, "day", self.patient)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("day") and found.get("at") is not None:
            self._check(self._happened_at(found["day"], found["at"]))
        return found

    def said(self) -> dict[str, Any]:
        """The clean values of the line."""
        when = self._happened_at(self.cleaned_data["day"], self.cleaned_data["at"])
        return {**{name: self.cleaned_data[name] for name in self.SAID}, "happened_at": when}

    def _happened_at(self, day: date, at: time) -> datetime:
        return datetime.combine(day, at, tzinfo=self.patient.practice.zone)

    def _check(self, when: datetime) -> None:
        back = when.astimezone(UTC).astimezone(when.tzinfo)
        if back.replace(tzinfo=None) != when.replace(tzinfo=None):
            self.add_error("at", CLOCK_FORWARD)
        elif when > timezone.now() + AHEAD:
            self.add_error("at", "The time must not be in the future.")


class PaperForm(forms.Form):
    """A paper to be put into the chart. Clean, its file is the pictures made of it."""

    id = forms.UUIDField(widget=forms.HiddenInput)
    what = forms.ChoiceField(
        label="Kind of paper",
        choices=Attachment.What.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what it is."},
    )
    title = forms.CharField(
        label="Title",
        max_length=160,
        help_text="As you would look for it, for example MRI of the neck.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Give it a title."},
    )
    dated = DayField(label="Date on the paper (optional)")
    file = forms.FileField(
        label="File",
        help_text=f"JPEG or PNG picture, or PDF of up to 20 pages; at most {MOST_MB} MB. "
        "Pictures of it are kept, the file is not.",
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,application/pdf"}),
        error_messages={"required": "Choose the file.", "empty": "This file is empty. Choose another one."},
    )

    def __init__(self, *args: Any, patient: Patient, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.patient = patient

    @classmethod
    def sent(cls, request: HttpRequest, patient: Patient) -> "PaperForm":
        """The form as a browser sent it. A file past FILE_UPLOAD_MAX_MEMORY_SIZE was not even read."""
        form = cls(request.POST, request.FILES, patient=patient)
        if int(request.META.get("CONTENT_LENGTH") or 0) > settings.FILE_UPLOAD_MAX_MEMORY_SIZE:
            form.fields["file"].error_messages["required"] = TOO_LARGE
        return form

    def clean_dated(self) -> date | None:
        if not any(part.strip() for part in self.cleaned_data["dated"]):
            return None
        return day_meant(self, "dated", self.patient)

    def clean_file(self) -> tuple[decoding.Picture, ...]:
        sent = self.cleaned_data["file"]
        if sent.size > decoding.MOST_BYTES:
            raise ValidationError(TOO_LARGE)
        try:
            return decoding.pictures_of(sent.read())
        except decoding.NotTaken as problem:
            raise ValidationError(str(problem)) from problem

    def kept(self) -> dict[str, Any]:
        """The clean values of the paper."""
        about = {name: self.cleaned_data[name] for name in ("id", "what", "title", "dated")}
        return {**about, "pictures": self.cleaned_data["file"]}


class StrikeForm(forms.Form):
    """Why a paper is taken out of use."""

    why = forms.CharField(
        label="Reason",
        max_length=LONGEST_WHY,
        help_text="For example: it belongs to another person's chart.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Write why it is taken out of use."},
    )
