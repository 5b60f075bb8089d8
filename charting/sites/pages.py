"""What the pages of sites and emergencies may use."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django import forms
from django.utils import timezone

from charting.audit.models import AuditEntry
from charting.patients.models import EmergencyAccess, Patient
from charting.sites import emergency_queries, queries
from charting.sites.forms import OneSiteForm
from charting.staff.models import Site, User


@dataclass(frozen=True)
class SitesPage:
    """All sites, with the form of a new one. `nowhere`: staff who know nobody."""

    sites: tuple[Any, ...]
    form: Any
    at_none: int
    everywhere: tuple[User, ...]
    nowhere: tuple[User, ...]


@dataclass(frozen=True)
class SitePage:
    """One site. `clashes` are (label, on record, typed) after two saves at once."""

    site: Any
    form: Any
    workers: tuple[User, ...]
    closing: Any
    clashes: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True)
class AtNonePage:
    """People who are seen at no site: the first queries.MOST of them."""

    people: tuple[Patient, ...]
    count: int
    form: Any


@dataclass(frozen=True)
class EmergencyPage:
    """Whose chart to open; what stands open to the user already."""

    form: Any
    open: tuple[EmergencyAccess, ...]
    minutes: int = emergency_queries.LASTS // timedelta(minutes=1)


@dataclass(frozen=True)
class AccessPage:
    """One opening, and what was done with it. `names`: whether this owner may know the person's name."""

    access: EmergencyAccess
    done: tuple[AuditEntry, ...]
    form: Any
    names: bool

    @property
    def is_open(self) -> bool:
        return self.access.ended_at is None and self.access.expires_at > timezone.now()


@dataclass(frozen=True)
class AccessesPage:
    accesses: tuple[EmergencyAccess, ...]
    in_vain: tuple[Any, ...]
    names: bool


def sites_page(user: User, form: forms.Form) -> SitesPage:
    """A fixed number of queries."""
    rows = tuple(queries.sites_of(user))
    at_none = queries.people_at_none(user).count() if rows else 0
    nowhere = queries.workers_nowhere(user)
    return SitesPage(rows, form, at_none, queries.workers_everywhere(user) if rows else (), nowhere)


def site_page(
    site: Site,
    form: forms.Form,
    closing: forms.Form | None = None,
    clashes: tuple[tuple[str, str, str], ...] = (),
) -> SitePage:
    others = Site.objects.filter(practice=site.practice_id, in_use=True).exclude(pk=site.pk)
    closing = closing or OneSiteForm(sites=others, initial={"version": site.version})
    return SitePage(site, form, queries.workers_at(site), closing, clashes)


def clashes_of(typed: dict[str, str], now: Site) -> tuple[tuple[str, str, str], ...]:
    return tuple(
        (name.capitalize(), getattr(now, name), value)
        for name, value in typed.items()
        if getattr(now, name) != value
    )


def at_none_page(user: User, form: forms.Form) -> AtNonePage:
    people = queries.people_at_none(user)
    return AtNonePage(tuple(people[: queries.MOST]), people.count(), form)


def access_page(user: User, access: EmergencyAccess, form: forms.Form) -> AccessPage:
    return AccessPage(access, emergency_queries.done_in(access), form, user.every_site)


def accesses_page(user: User) -> AccessesPage:
    rows: Iterable[EmergencyAccess] = emergency_queries.accesses_of(user)[: emergency_queries.MOST]
    in_vain = emergency_queries.tries_in_vain(user, timezone.now() - timedelta(days=30))
    return AccessesPage(tuple(rows), in_vain, user.every_site)
