"""What the pages of insurance may use."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms

from charting.drafts.models import Draft
from charting.episodes.models import Episode
from charting.insurance.missing import Missing, missing_of
from charting.insurance.missing_checks import words_of
from charting.insurance.models import Authorisation, Payer, Policy
from charting.insurance.payer_services import may_number
from charting.insurance.queries import Cover, cover_of, payers_of, policies_of, withdrawn_of
from charting.insurance.shown import Forms, FormShown
from charting.patients.models import Patient
from charting.staff.models import User
from charting.staff.rights import may

Clashes = tuple[tuple[str, str, str], ...]
YES_NO = {True: "yes", False: "no"}


@dataclass(frozen=True)
class InsurancePage:
    """Who pays for one episode. `clashes` are (label, on record, typed) after two saves at once."""

    episode: Episode
    cover: Cover | None
    missing: tuple[Missing, ...]
    claim: FormShown
    authorisation: FormShown
    work: FormShown
    certification: FormShown
    may_treat: bool
    has_policies: bool
    withdrawn: tuple[Authorisation, ...] = ()
    clashes: Clashes = ()


@dataclass(frozen=True)
class AuthorisationPage:
    """One authorisation to change."""

    authorisation: Authorisation
    form: Any
    draft_key: str
    draft: Draft | None = None
    clashes: Clashes = ()


@dataclass(frozen=True)
class PoliciesPage:
    """The policies of one person, with the form of a new one or of `policy`. `back`: the episode that the
    person comes from, "" for none.
    """

    patient: Patient
    policies: tuple[Policy, ...]
    form: Any
    draft_key: str
    has_payers: bool
    back: str = ""
    policy: Policy | None = None
    draft: Draft | None = None
    clashes: Clashes = ()


@dataclass(frozen=True)
class PayersPage:
    """The payers of the practice, with the form of a new one or of `payer`."""

    payers: tuple[Payer, ...]
    form: Any
    draft_key: str
    payer: Payer | None = None
    draft: Draft | None = None
    clashes: Clashes = ()


@dataclass(frozen=True)
class NumberShown:
    """Under which number somebody is registered. `whose`: the id of a clinician, "" for the practice;
    `number` as it stands in the box, `shown` as it stands on record.
    """

    whose: str
    name: str
    shown: str
    number: str
    may_change: bool
    wrong: str = ""


@dataclass(frozen=True)
class NumbersPage:
    numbers: tuple[NumberShown, ...]


def insurance_page(
    user: User, episode: Episode, sent: Mapping[str, forms.Form] | None = None, clashes: Clashes = ()
) -> InsurancePage:
    """`sent`: forms that stand as they were typed, by the names of shown.py."""
    cover, every = cover_of(episode), Forms(user, episode)
    return InsurancePage(
        episode,
        cover,
        missing_of(episode, cover=cover),
        **every.shown(cover.claim if cover else None, sent or {}),
        may_treat=may(user, "treat"),
        has_policies=bool(every.policies),
        withdrawn=withdrawn_of(cover.claim) if cover else (),
        clashes=clashes,
    )


def policies_page(user: User, patient: Patient, form: Any, key: str, **more: Any) -> PoliciesPage:
    has_payers = any(one.in_use for one in payers_of(user))
    return PoliciesPage(patient, policies_of(patient), form, key, has_payers, **more)


def numbers_page(
    user: User, staff: Iterable[User], typed: tuple[str, str, str] = ("", "", "")
) -> NumbersPage:
    """`typed`: whose number was not kept, what was typed, what is wrong with it."""
    practice = user.practice
    assert practice  # noqa: S101 - the right that the page needs is of a practice
    rows = [("", str(practice), practice.registration, may_number(user, None))]
    rows += [(str(one.pk), str(one), one.registration, may_number(user, one)) for one in staff]
    return NumbersPage(tuple(_number(row, typed) for row in rows))


def _number(row: tuple[str, str, str, bool], typed: tuple[str, str, str]) -> NumberShown:
    whose, name, number, may_change = row
    if typed[2] and typed[0] == whose:
        return NumberShown(whose, name, number, typed[1], may_change, typed[2])
    return NumberShown(whose, name, number, number, may_change)


def clashes_of(form: Any, typed: Mapping[str, Any], current: Any) -> Clashes:
    """Where the typed values differ from those that somebody else saved meanwhile."""
    return tuple(
        (
            str(form.fields[name].label).removesuffix(" (optional)"),
            _words(form, name, getattr(current, name)),
            _words(form, name, value),
        )
        for name, value in typed.items()
        if getattr(current, name) != value
    )


def _words(form: Any, name: str, value: Any) -> str:
    if isinstance(value, bool):
        return YES_NO[value]
    if isinstance(value, date):
        return words_of(value)
    choices = dict(getattr(form.fields[name], "choices", ())) if isinstance(value, str | list) else {}
    if isinstance(value, list):
        return ", ".join(str(choices.get(each, each)) for each in value)
    return "" if value is None else str(choices.get(value, value) if value else "")
