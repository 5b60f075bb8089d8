"""Turns what was typed about policy, claim and what belongs to it into clean values."""

import uuid
from collections.abc import Iterable
from datetime import date
from typing import Any, ClassVar

from django import forms

from charting.contacts.forms import now_there
from charting.insurance.days import day_needed, day_or_none
from charting.insurance.models import Authorisation, Claim, Payer, Policy, WorkStatus
from charting.insurance.services import CLINICAL
from charting.patients.forms import DayField
from charting.patients.models import Patient

ENDS_EARLY = "The last day must not be before the first."


def text(label: str, longest: int, *, needed: str = "", **more: Any) -> forms.CharField:
    """One line; `needed`: what is said when it is left empty."""
    return forms.CharField(
        label=label if needed else f"{label} (optional)",
        max_length=longest,
        required=bool(needed),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": needed or "This is needed."},
        **more,
    )


def words(label: str, longest: int, rows: int, **more: Any) -> forms.CharField:
    box = forms.Textarea(attrs={"rows": rows, "class": "short"})
    return forms.CharField(
        label=f"{label} (optional)", max_length=longest, required=False, widget=box, **more
    )


class AboutPerson(forms.Form):
    """What the forms about a person share: days by the clock of the practice, and the version shown."""

    DAYS: ClassVar[tuple[str, ...]] = ()
    NEEDED: ClassVar[tuple[str, ...]] = ()
    # Days that cannot lie ahead.
    PAST: ClassVar[tuple[str, ...]] = ()
    SPAN: ClassVar[tuple[str, str] | None] = None

    def __init__(self, *args: Any, patient: Patient, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.patient = patient

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        for name in self.DAYS:
            if name in found:
                self._take(name)
        begins, ends = (self.cleaned_data.get(name) for name in self.SPAN or ("", ""))
        if begins and ends and ends < begins:
            self.fields[self.SPAN[1]].widget.wrong = "day"  # type: ignore[index]
            self.add_error(self.SPAN[1] if self.SPAN else None, ENDS_EARLY)
        return self.cleaned_data

    def _take(self, name: str) -> None:
        read = day_needed if name in self.NEEDED else day_or_none
        today = now_there(self.patient).date()
        try:
            self.cleaned_data[name] = read(self, name, self.patient, today, ahead=name not in self.PAST)
        except forms.ValidationError as problem:
            self.add_error(name, problem)

    def said(self) -> dict[str, Any]:
        """The clean values by name."""
        return {name: self.cleaned_data[name] for name in self.fields}

    def added(self) -> dict[str, Any]:
        """What a service takes of a new row."""
        return self.said()


class PolicyForm(AboutPerson):
    """One policy. `id` is made with the page, so that a double tap makes one; `version` as shown."""

    DAYS = ("began_on", "ended_on")
    SPAN = ("began_on", "ended_on")

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    payer = forms.ModelChoiceField(
        label="Payer",
        queryset=Payer.objects.none(),
        empty_label="Choose who pays",
        widget=forms.Select(attrs={"class": "fit"}),
        error_messages={"required": "Choose who pays."},
    )
    number = text("Policy number", 60, needed="Enter the number of the policy.")
    group_number = text("Group number", 60)
    holder = text("Policy holder", 160, help_text="Only where it is not the patient.")
    holder_relation = text("Relation to the patient", 60)
    began_on = DayField(label="In force from (optional)")
    ended_on = DayField(label="Last day in force (optional)")

    def __init__(self, *args: Any, payers: Iterable[Payer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = Payer.objects.filter(pk__in=[one.pk for one in payers])
        self.fields["payer"].queryset = known  # type: ignore[attr-defined]

    NAMES = ("payer", "number", "group_number", "holder", "holder_relation", "began_on", "ended_on")

    @classmethod
    def values_of(cls, row: Policy) -> dict[str, Any]:
        return {"version": row.version, **{name: getattr(row, name) for name in cls.NAMES}}

    def about(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.NAMES}


class ClaimForm(AboutPerson):
    """What the insurer is told about one episode. `version` as shown, 0 where nothing is on record."""

    DAYS = ("injured_on", "referred_on", "plan_from", "plan_until")
    PAST = ("injured_on", "referred_on")
    SPAN = ("plan_from", "plan_until")

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    policy = forms.ModelChoiceField(
        label="Policy",
        queryset=Policy.objects.none(),
        required=False,
        empty_label="The patient pays, or not known yet",
        widget=forms.Select(attrs={"class": "fit"}),
    )
    claim_number = text("Claim number", 60, help_text="As the payer writes it on its letters.")
    cause = forms.ChoiceField(
        label="Cause",
        choices=[*Claim.Cause.choices, ("", "Not recorded")],
        required=False,
        widget=forms.RadioSelect,
    )
    cause_words = text(
        "What happened", 500, help_text="For example: slipped on a wet floor at the warehouse."
    )
    injured_on = DayField(
        label="Day of the injury (optional)", help_text="Without an accident: the day of the first complaint."
    )
    referred_by = text("Referred by", 160, help_text="Name and profession.")
    referrer_number = text("Registration number of the referrer", 60)
    referrer_address = words("Address", 300, 2)
    referred_on = DayField(label="Date of the referral (optional)")
    prior_function = words(
        "What the patient could do before it began",
        2000,
        3,
        help_text="Work, household, sport, sleep: so that the payer sees what is to be reached again.",
    )
    plan_from = DayField(label="Plan of care from (optional)")
    plan_until = DayField(label="Plan of care until (optional)", help_text="The last day belongs to it.")
    plan_frequency = text("How often", 160, help_text="For example: twice a week for four weeks.")

    def __init__(self, *args: Any, policies: Iterable[Policy], clinical: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = Policy.objects.select_related("payer").filter(pk__in=[one.pk for one in policies])
        self.fields["policy"].queryset = known  # type: ignore[attr-defined]
        if not clinical:
            for name in CLINICAL:
                del self.fields[name]

    @classmethod
    def values_of(cls, row: Claim | None) -> dict[str, Any]:
        if row is None:
            return {"version": 0}
        return {name: getattr(row, name) for name in cls.base_fields}

    @staticmethod
    def version_of(row: Any) -> int:
        """Of the row as it stands, 0 where there is none."""
        return row.version if row.pk else 0


class AuthorisationForm(AboutPerson):
    """Visits agreed to beforehand."""

    DAYS = ("valid_from", "valid_until")
    SPAN = ("valid_from", "valid_until")
    NAMES = ("number", "visits", "valid_from", "valid_until", "remark")

    id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    number = text("Authorisation number", 60, needed="Enter the number of the authorisation.")
    visits = forms.IntegerField(
        label="Visits authorised (optional)",
        required=False,
        min_value=1,
        max_value=999,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "maxlength": 3, "class": "time"}),
        error_messages={"invalid": "Enter a whole number of visits."},
        help_text="Left empty: no number was agreed.",
    )
    valid_from = DayField(label="First day (optional)")
    valid_until = DayField(label="Last day (optional)")
    remark = text("Remark", 300)
    is_withdrawn = forms.BooleanField(label="Withdrawn: it does not count any more", required=False)

    def about(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.NAMES}

    def added(self) -> dict[str, Any]:
        return {"id": self.cleaned_data["id"] or uuid.uuid4(), **self.about()}

    @classmethod
    def values_of(cls, row: Authorisation) -> dict[str, Any]:
        said = {name: getattr(row, name) for name in cls.NAMES}
        return {"version": row.version, "is_withdrawn": row.is_withdrawn, **said}


class WorkForm(AboutPerson):
    """Work status from a day on."""

    DAYS = ("from_on",)
    NEEDED = ("from_on",)

    status = forms.ChoiceField(
        label="Work status",
        choices=WorkStatus.Status.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the work status."},
    )
    percent = forms.IntegerField(
        label="Per cent of full work (optional)",
        required=False,
        min_value=1,
        max_value=99,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "maxlength": 2, "class": "time"}),
        error_messages={"invalid": "Enter a whole number from 1 to 99."},
        help_text="Of limited work.",
    )
    limits = text("What cannot be done at work", 500, help_text="For example: no lifting over 5 kg.")
    from_on = DayField(label="From")

    def clean(self) -> dict[str, Any]:
        found = super().clean()
        limited = WorkStatus.Status.LIMITED
        if found.get("percent") and found.get("status") and found["status"] != limited:
            self.add_error("percent", "Per cent are told of limited work only.")
        return found


class CertificationForm(AboutPerson):
    """Who confirmed the plan of care, and for which days."""

    DAYS = ("certified_on", "valid_from", "valid_until")
    NEEDED = DAYS
    PAST = ("certified_on",)
    SPAN = ("valid_from", "valid_until")

    certified_by = text("Certified by", 160, needed="Enter who certified the plan of care.")
    certified_on = DayField(label="Signed on")
    valid_from = DayField(label="Holds from")
    valid_until = DayField(label="Holds until")
    how = text("How", 160, help_text="For example: signed copy of 5 May, by fax.")


def fresh(today: date | None = None) -> dict[str, Any]:
    """What a form of a new row begins with."""
    return {"id": uuid.uuid4(), **({"from_on": today} if today else {})}
