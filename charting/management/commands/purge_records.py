"""Remove records whose time is over, whole. Without --do it lists them and changes nothing."""

from __future__ import annotations

from getpass import getpass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection
from django.utils import timezone

from charting.patients.models import Patient
from charting.retention import periods as retention
from charting.retention.periods import Periods
from charting.retention.queries import Standing, past_their_time, standing_of
from charting.retention.services import NotPurged, purge
from charting.staff.models import User
from charting.staff.rights import may

BACKUPS = (
    "Backups hold these records still, and nothing here reaches them: let them lapse, or delete them. "
    "The trail keeps ids, and that the records went."
)


class Command(BaseCommand):
    """manage.py purge_records --by OWNER [--record NUMBER ...] [--years N] [--minor-years N]
    [--do --reason "..."]

    Exit 2: nothing was removed, and why.
    """

    help = "List records past their time; with --do remove them, after a typed sentence and the password."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--by", required=True, metavar="OWNER", help="user name of an owner")
        parser.add_argument("--record", type=int, action="append", help="record number; without it every one")
        parser.add_argument("--years", type=int, help="keep longer after the last entry")
        parser.add_argument("--minor-years", type=int, help="keep longer after coming of age")
        parser.add_argument("--do", action="store_true", help="remove them")
        parser.add_argument("--reason", default="", help="why, kept with what stays; names nobody")

    def handle(self, *args: Any, by: str, do: bool, reason: str, **options: Any) -> None:
        try:
            owner = _owner(by)
            lasting = retention.load().longer(options["years"], options["minor_years"])
            found = _wanted(owner, options["record"], lasting)
        except (LookupError, ValueError) as error:
            raise CommandError(str(error), returncode=2) from None
        for each in found:
            self.stdout.write(_said(each))
        going = [each for each in found if each.is_due(_today(owner)) and not each.holds]
        self.stdout.write(f"{len(going)} of {len(found)} can go.\n{BACKUPS}")
        if do and going:
            self._do(owner, going, lasting, reason)

    def _do(self, owner: User, going: list[Standing], lasting: Periods, reason: str) -> None:
        if not reason.strip():
            raise CommandError("Say why with --reason. Nothing was removed.", returncode=2)
        sentence = f"purge {len(going)} records"
        if input(f"This can't be undone. Type: {sentence}\n> ").strip() != sentence:
            raise CommandError("Not typed as shown. Nothing was removed.", returncode=2)
        if not owner.check_password(getpass(f"Password of {owner.username}: ")):
            raise CommandError("Wrong password. Nothing was removed.", returncode=2)
        _overwrite()
        said = {"periods": lasting, "reason": reason.strip(), "today": _today(owner)}
        for each in going:
            try:
                row = purge(who=owner, person=each.person, **said)
            except (NotPurged, PermissionDenied) as problem:
                raise CommandError(f"{problem} Those listed before it are removed.", returncode=2) from None
            self.stdout.write(f"Record {row.record_number} removed: {sum(row.removed.values())} rows.")
        _empty_log()


def _owner(username: str) -> User:
    found = User.objects.filter(username=username).select_related("practice").first()
    if found is None or not may(found, "purge records"):
        raise LookupError(f"{username!r} is no owner of a practice.")
    return found


def _today(owner: User) -> Any:
    return timezone.localdate(timezone=owner.practice.zone)  # type: ignore[union-attr]


def _wanted(owner: User, numbers: list[int] | None, lasting: Periods) -> list[Standing]:
    practice = owner.practice
    assert practice is not None  # noqa: S101 - nobody without a practice has the right
    if not numbers:
        return list(past_their_time(practice, lasting, _today(owner)))
    people = Patient.objects.filter(practice=practice, record_number__in=numbers, merged_into=None)
    missing = set(numbers) - {one.record_number for one in people}
    if missing:
        raise LookupError(f"No record of its own has the number {', '.join(map(str, sorted(missing)))}.")
    return [standing_of(one, lasting) for one in people.order_by("record_number")]


def _said(each: Standing) -> str:
    numbers = " with ".join(str(one.record_number) for one in each.records)
    holds = f"; held: {'; '.join(each.holds)}" if each.holds else ""
    return f"Record {numbers}: last entry {each.last_entry}, kept until {each.due_on}{holds}"


def _overwrite() -> None:
    """SQLite leaves what was deleted in the file unless it is told to write over it."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA secure_delete = ON")


def _empty_log() -> None:
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
