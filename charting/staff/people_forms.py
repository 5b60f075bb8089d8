"""Turns what was typed about a member of staff into clean values."""

from collections.abc import Iterable
from typing import Any

from django import forms

from charting.staff.models import Site, User
from charting.staff.people import Said

ROLES = (
    (User.Role.CLINICIAN, "Clinician: opens charts, treats, signs"),
    (User.Role.DESK, "Front desk: registers people, keeps the day; opens no chart"),
    (User.Role.OWNER, "Practice owner: reads charts, keeps staff, sites and texts, reads the log"),
    (User.Role.AUDITOR, "Auditor: reads the log; opens no page about a patient"),
)
EVERYWHERE = (("every", "Every site"), ("some", "Only the sites ticked below"))


def line(label: str, longest: int, *, needed: str = "", **more: Any) -> forms.CharField:
    return forms.CharField(
        label=label if needed else f"{label} (optional)",
        max_length=longest,
        required=bool(needed),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": needed},
        **more,
    )


class MemberForm(forms.Form):
    """What is said of somebody. `shown`: the fingerprint of what the page showed."""

    TICKS = ("is_trainee", "writes_patterns", "owns_practice")

    shown = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)
    first_name = line("Given names", 150)
    last_name = line("Family name", 150, needed="Enter the family name.")
    role = forms.ChoiceField(
        label="Role",
        choices=ROLES,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose a role."},
    )
    title = line("Profession", 80, help_text="As it prints under what this person signs.")
    registration = line("Registration number", 60)
    is_trainee = forms.BooleanField(label="Trainee: every note is co-signed", required=False)
    writes_patterns = forms.BooleanField(label="Writes the practice's own patterns", required=False)
    owns_practice = forms.BooleanField(
        label="Owns the practice as well: what an owner may, beside the role", required=False
    )
    where = forms.ChoiceField(
        label="Works at", choices=EVERYWHERE, widget=forms.RadioSelect, initial="every", required=False
    )
    sites = forms.TypedMultipleChoiceField(
        label="Sites", coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, offered: Iterable[Site] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(site.pk, site.name) for site in offered]
        self.fields["sites"].choices = choices  # type: ignore[attr-defined]

    def said(self) -> Said:
        clean = self.cleaned_data
        at_every = clean["where"] != "some"
        return Said(
            first_name=_plain(clean["first_name"]),
            last_name=_plain(clean["last_name"]),
            role=clean["role"],
            title=_plain(clean["title"]),
            registration=_plain(clean["registration"]),
            **{name: clean[name] for name in self.TICKS},
            every_site=at_every,
            sites=() if at_every else tuple(sorted(clean["sites"])),
        )

    @classmethod
    def values_of(cls, said: Said) -> dict[str, Any]:
        where = "every" if said.every_site else "some"
        return {**said.columns, "sites": list(said.sites), "where": where, "shown": said.fingerprint}


class NewMemberForm(MemberForm):
    username = line(
        "User name",
        150,
        needed="Enter the name to sign in with.",
        help_text="To sign in with; it stays as it is. Letters, digits and . _ - @ +",
    )
    field_order = ["first_name", "last_name", "username"]


def _plain(words: str) -> str:
    """Without blanks beyond one."""
    return " ".join(words.split())
