"""What is said of somebody who works here, and every read of it."""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass, fields
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from charting.staff.models import Practice, Site, User

Role = User.Role
OWNERS = Q(role=Role.OWNER) | Q(owns_practice=True)


@dataclass(frozen=True)
class Said:
    """What an owner says of somebody. `sites`: ids, of no meaning while `every_site`."""

    first_name: str
    last_name: str
    role: str
    title: str = ""
    registration: str = ""
    is_trainee: bool = False
    owns_practice: bool = False
    writes_patterns: bool = False
    every_site: bool = True
    sites: tuple[int, ...] = ()

    @property
    def is_owner(self) -> bool:
        return self.role == Role.OWNER or self.owns_practice

    @property
    def columns(self) -> dict[str, Any]:
        """Without the sites, which stand in a table of their own."""
        return {name: value for name, value in asdict(self).items() if name != "sites"}

    @property
    def fingerprint(self) -> str:
        """What the page showed, so that a save over somebody else's is noticed."""
        return hashlib.sha256(json.dumps(asdict(self), sort_keys=True).encode()).hexdigest()[:32]


def said_of(user: User) -> Said:
    """As it stands on record."""
    columns = {each.name: getattr(user, each.name) for each in fields(Said) if each.name != "sites"}
    at = () if user.every_site else tuple(user.sites.order_by("pk").values_list("pk", flat=True))
    return Said(**columns, sites=at)


def staff_of(user: User) -> QuerySet[User]:
    """Everybody who works or worked in the practice of `user`, by name. Nobody without a practice."""
    everybody = User.objects.filter(practice=user.practice_id, practice__isnull=False)
    return everybody.order_by("-is_active", "last_name", "first_name", "username")


def member_of(user: User, member_id: int) -> User:
    """Raises Http404 for somebody of another practice."""
    return get_object_or_404(staff_of(user), pk=member_id)


def owners_beside(practice: Practice, user: User) -> QuerySet[User]:
    """The others who answer for the practice."""
    return practice.staff.filter(OWNERS, is_active=True).exclude(pk=user.pk)


def sites_of(practice: Practice | None, kept: Iterable[int] = ()) -> tuple[Site, ...]:
    """The sites in use, and those of `kept`, by name."""
    if practice is None:
        return ()
    return tuple(practice.sites.filter(Q(in_use=True) | Q(pk__in=list(kept))))


def practice_of(user: User) -> Practice:
    """Raises PermissionDenied for somebody without a practice."""
    if user.practice is None:
        raise PermissionDenied("You belong to no practice.")
    return user.practice
