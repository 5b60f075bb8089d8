"""Every write of the payers of a practice, and of registration numbers."""

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction

from charting.audit.services import record
from charting.drafts.services import forget
from charting.insurance import missing_file
from charting.insurance.models import Payer
from charting.insurance.services import NotKept
from charting.staff.models import Practice, User
from charting.staff.rights import may, require
from charting.versioning import save_if_current

LONGEST_NUMBER = 60


def payer_draft(payer: Payer | None) -> str:
    return f"payer:{payer.pk}" if payer else "payer:new"


@transaction.atomic
def add_payer(*, who: User, name: str, asks: Iterable[str], **more: Any) -> Payer:
    """`more`: payer_number, street, town, phone, units, in_use. The same sent again gives the payer made
    before. Raises NotKept for a name that another payer of the practice has, and for what nobody asks.
    """
    require(who, "keep insurance")
    practice = Practice.objects.select_for_update().get(staff=who)
    row = Payer(practice=practice, name=" ".join(name.split()), asks=_asked(asks), **more)
    twin = Payer.objects.filter(practice=practice, name__iexact=row.name).first()
    if twin and _said(twin) == _said(row):
        return twin
    _check_name(row, twin)
    row.save()
    forget(who=who, key=payer_draft(None))
    record(who=who, did="added payer", what=row)
    return row


@transaction.atomic
def change_payer(
    *, who: User, payer: Payer, version: int, name: str, asks: Iterable[str], **more: Any
) -> Payer:
    """Raises Stale with the row as it stands, NotKept."""
    require(who, "keep insurance")
    if payer.practice_id != who.practice_id:
        raise PermissionDenied("This payer is one of another practice.")
    changes = {"name": " ".join(name.split()), "asks": _asked(asks), **more}
    others = Payer.objects.filter(practice=payer.practice_id, name__iexact=changes["name"])
    _check_name(Payer(name=changes["name"]), others.exclude(pk=payer.pk).first())
    save_if_current(payer, version=version, **changes)
    forget(who=who, key=payer_draft(payer))
    record(who=who, did="changed payer", what=payer)
    return payer


def may_number(who: User, whose: User | None) -> bool:
    """Whether `who` may enter the registration number of a colleague, or of the practice for None: who
    gives rights here; who signs, their own and that of the practice.
    """
    if may(who, "grant rights"):
        return True
    return may(who, "sign") and whose in (None, who)


@transaction.atomic
def register_number(*, who: User, whose: User | None, shown: str, number: str) -> None:
    """Enter a registration number as it prints. `shown`: what stood on the page. Raises NotKept when
    somebody changed it meanwhile or it is too long; PermissionDenied.
    """
    if not may_number(who, whose) or (whose and whose.practice_id != who.practice_id):
        raise PermissionDenied("An owner of the practice enters this number.")
    said = " ".join(number.split())
    if len(said) > LONGEST_NUMBER:
        raise NotKept(f"A number has at most {LONGEST_NUMBER} signs.")
    every: Any = User if whose else Practice
    row = every.objects.filter(pk=whose.pk if whose else who.practice_id)
    if not row.filter(registration=shown).update(registration=said):
        raise NotKept(f"Somebody changed it meanwhile: it is {row.get().registration or 'empty'} now.")
    record(who=who, did="entered registration number", what=row.get())


def _asked(asks: Iterable[str]) -> list[str]:
    known = {one.id for one in missing_file.asked()}
    said = set(asks)
    if said - known:
        raise NotKept("Choose from the list what this payer asks for.")
    return sorted(said)


def _check_name(row: Payer, other: Payer | None) -> None:
    if not row.name:
        raise NotKept("Enter the name of the payer.")
    if other:
        raise NotKept(f"There is a payer of this name already: {other.name}.")


def _said(row: Payer) -> tuple[Any, ...]:
    names = ("name", "payer_number", "street", "town", "phone", "units", "asks", "in_use")
    return tuple(getattr(row, name) for name in names)
