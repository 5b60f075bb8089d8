"""What the pages about the people who work here may use."""

from dataclasses import asdict, dataclass
from typing import Any

from charting.staff import second_factor
from charting.staff.models import Site, User
from charting.staff.people import Said, owners_beside, practice_of, said_of, sites_of, staff_of
from charting.staff.people_forms import MemberForm

Clashes = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Row:
    """One person in the list. `at`: the sites by name, empty for every site."""

    user: User
    at: tuple[str, ...]


@dataclass(frozen=True)
class StaffPage:
    here: tuple[Row, ...]
    left: tuple[Row, ...]
    has_sites: bool


@dataclass(frozen=True)
class MemberPage:
    """One person, or a new one (`member` None). `password`: the first one, on the only page that shows it."""

    form: Any
    sites: tuple[Site, ...]
    member: User | None = None
    clashes: Clashes = ()
    password: str = ""
    problem: str = ""
    is_self: bool = False
    has_factor: bool = False
    may_disable: bool = True


def staff_page(user: User) -> StaffPage:
    """Two queries, however many people."""
    rows = [Row(one, _sites(one)) for one in staff_of(user).prefetch_related("sites")]
    return StaffPage(
        here=tuple(row for row in rows if row.user.is_active),
        left=tuple(row for row in rows if not row.user.is_active),
        has_sites=bool(sites_of(user.practice)),
    )


def member_page(user: User, member: User, form: Any = None, **more: Any) -> MemberPage:
    said = said_of(member)
    offered = sites_of(user.practice, said.sites)
    return MemberPage(
        form=form or MemberForm(initial=MemberForm.values_of(said), offered=offered),
        sites=offered,
        member=member,
        is_self=member.pk == user.pk,
        has_factor=second_factor.factor_of(member) is not None,
        may_disable=not said.is_owner or owners_beside(practice_of(user), member).exists(),
        **more,
    )


def clashes_of(form: MemberForm, typed: Said, current: Said) -> Clashes:
    """Where what was typed differs from what somebody else saved meanwhile."""
    theirs, yours = _words(form, current), _words(form, typed)
    return tuple((label, theirs[label], yours[label]) for label in yours if theirs[label] != yours[label])


def _words(form: MemberForm, said: Said) -> dict[str, str]:
    names = {site: label for site, label in form.fields["sites"].choices}  # type: ignore[attr-defined]
    at = "Every site" if said.every_site else ", ".join(str(names.get(site, site)) for site in said.sites)
    words = {name: _word(value) for name, value in asdict(said).items() if name in form.fields}
    words |= {"role": str(User.Role(said.role).label), "sites": at}
    return {str(form.fields[name].label).removesuffix(" (optional)"): word for name, word in words.items()}


def _word(value: Any) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def _sites(member: User) -> tuple[str, ...]:
    return () if member.every_site else tuple(site.name for site in member.sites.all())
