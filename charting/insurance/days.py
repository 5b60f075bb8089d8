"""Days that are typed in three parts and may lie ahead, or be left empty."""

from datetime import date

from django import forms
from django.core.exceptions import ValidationError

from charting.patients.dates import WrongPart, past_day
from charting.patients.models import Patient

# A slip of the finger beyond it is caught. Common practice.
FARTHEST_YEARS = 10


def day_or_none(form: forms.Form, name: str, patient: Patient, today: date, *, ahead: bool) -> date | None:
    """A day in the life of the person, `ahead`: after today too; None for three empty boxes. Marks the box
    that is wrong.
    """
    if not any(part.strip() for part in form.cleaned_data[name]):
        return None
    return day_needed(form, name, patient, today, ahead=ahead)


def day_needed(form: forms.Form, name: str, patient: Patient, today: date, *, ahead: bool) -> date:
    """The same, not to be left empty."""
    try:
        found = past_day(
            *form.cleaned_data[name],
            earliest=patient.birth_date,
            today=date.max if ahead else today,
            before="The day must not be before the date of birth.",
        )
        if found.year > today.year + FARTHEST_YEARS:
            raise WrongPart("year", f"The year must be {today.year + FARTHEST_YEARS} or earlier.")
    except WrongPart as problem:
        form.fields[name].widget.wrong = problem.part
        raise ValidationError(str(problem), code=problem.part) from problem
    return found
