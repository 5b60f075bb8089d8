"""Random changes of a trail, past every service and trigger: as somebody who holds the database file would.

`tampers(count, seed)` gives them one after another; each is made within a transaction that is rolled back,
and says whether the check has seen it. Nothing is left changed. Works on SQLite and PostgreSQL.
"""

import contextlib
import random
import string
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.db import connection, transaction

from charting.audit.chain import join
from charting.audit.heads import Head, heads_now
from charting.audit.models import AuditEntry
from charting.audit.verify import verify_every
from tests.guards import lifted

TABLE = "charting_auditentry"
TEXTS = ("actor", "role", "action", "object_type", "object_id", "address", "previous_hash", "hash")
NUMBERS = ("seq", "chain", "practice_id", "actor_id")
COPY = """INSERT INTO {table} (chain, seq, previous_hash, hash, at, practice_id, actor_id, actor, role,
action, object_type, object_id, detail, address) SELECT chain, %s, hash, hash, at, practice_id, actor_id,
actor, role, action, object_type, object_id, detail, address FROM {table} WHERE chain = %s AND seq = %s"""
Change = Callable[[random.Random, int, int], str]


@dataclass(frozen=True)
class Tried:
    """One change: what was done, and whether it was found."""

    what: str
    found: bool


def tampers(count: int, seed: int = 1) -> Iterator[Tried]:
    """So many random changes of the longest chain, each undone again. Needs 20 rows; the heads as they stand
    when it begins are taken for those kept elsewhere.
    """
    dice, heads = random.Random(seed), heads_now()
    longest = max(heads, key=lambda head: head.seq)
    if longest.seq < 20:
        raise ValueError(f"the longest chain has {longest.seq} rows; 20 are needed")
    with unchecked():
        for _ in range(count):
            yield tried(dice.choice(CHANGES), dice, longest, heads)


def tried(change: Change, dice: random.Random, longest: Head, heads: tuple[Head, ...]) -> Tried:
    """One of CHANGES made, looked for and undone."""
    with transaction.atomic():
        what = change(dice, longest.chain, longest.seq)
        found = not all(report.holds for report in verify_every(heads))
        transaction.set_rollback(True)
    return Tried(what, found)


def one_byte(dice: random.Random, chain: int, last: int) -> str:
    """One character of one column of one row."""
    seq, column = dice.randint(1, last), dice.choice((*TEXTS, "at", "detail"))
    stored = str(_value(f"CAST({column} AS text)", chain, seq))
    # A time stored with another sign between day and hour says the same: no tamper, and none is found.
    places = [at for at, sign in enumerate(stored) if column != "at" or sign.isdigit()]
    place = dice.choice(places) if places else 0
    others = string.digits if column == "at" else string.ascii_letters + string.digits
    letter = dice.choice([one for one in others if one != stored[place : place + 1]])
    changed = f"{stored[:place]}{letter}{stored[place + 1 :]}"
    _set(column, _kept(column, changed, stored), chain, seq)
    return f"one byte of {column} of entry {seq}"


def one_number(dice: random.Random, chain: int, last: int) -> str:
    """A number made another."""
    seq, column = dice.randint(1, last), dice.choice(NUMBERS)
    _set(column, dice.randint(10**6, 10**9), chain, seq)
    return f"{column} of entry {seq}"


def emptied(dice: random.Random, chain: int, last: int) -> str:
    """What a row says of the change, taken out of it."""
    seq = dice.randint(1, last)
    _set("detail", '{"gone": 1}', chain, seq)
    return f"detail of entry {seq} replaced"


def delete(dice: random.Random, chain: int, last: int) -> str:
    seq = dice.randint(1, last)
    _run("DELETE FROM {table} WHERE chain = %s AND seq = %s", chain, seq)
    return f"entry {seq} deleted"


def close_the_gap(dice: random.Random, chain: int, last: int) -> str:
    """A row taken out, and those after it numbered anew."""
    seq = dice.randint(1, last - 1)
    _run("DELETE FROM {table} WHERE chain = %s AND seq = %s", chain, seq)
    _run("UPDATE {table} SET seq = -seq WHERE chain = %s AND seq > %s", chain, seq)
    _run("UPDATE {table} SET seq = -seq - 1 WHERE chain = %s AND seq < 0", chain)
    return f"entry {seq} deleted and the rest moved up"


def swap(dice: random.Random, chain: int, last: int) -> str:
    """Two rows change places."""
    one, other = dice.sample(range(1, last + 1), 2)
    for before, after in ((one, -1), (other, one), (-1, other)):
        _set("seq", after, chain, before)
    return f"entries {one} and {other} swapped"


def insert(dice: random.Random, chain: int, last: int) -> str:
    """A row made up and put after another, or behind all, as a copy of one that is there."""
    seq, after = dice.randint(1, last), dice.choice([last + 1, -1])
    _run(COPY, after, chain, seq)
    return f"a copy of entry {seq} put in as {after}"


def cut_off(dice: random.Random, chain: int, last: int) -> str:
    """The end taken away: only a head kept elsewhere tells."""
    seq = dice.randint(1, last - 1)
    _run("DELETE FROM {table} WHERE chain = %s AND seq > %s", chain, seq)
    return f"everything after entry {seq} deleted"


def written_anew(dice: random.Random, chain: int, last: int) -> str:
    """One row changed, and every hash from it on worked out anew: only a head kept elsewhere tells."""
    seq = dice.randint(1, last)
    rows = list(AuditEntry.objects.filter(chain=chain, seq__gte=seq).order_by("seq"))
    rows[0].actor += " and another"
    join(rows, chain, seq - 1, rows[0].previous_hash)
    AuditEntry.objects.bulk_update(rows, ["actor", "previous_hash", "hash"])
    return f"everything from entry {seq} on written anew"


CHANGES: tuple[Change, ...] = (
    one_byte,
    one_byte,
    one_byte,
    one_number,
    emptied,
    delete,
    close_the_gap,
    swap,
    insert,
    cut_off,
    written_anew,
)


def _value(column: str, chain: int, seq: int) -> object:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {column} FROM {TABLE} WHERE chain = %s AND seq = %s", [chain, seq])  # noqa: S608
        return cursor.fetchone()[0]


def _kept(column: str, changed: str, stored: str) -> str:
    """PostgreSQL refuses what is no time and no JSON: there the byte is changed to something it takes."""
    if connection.vendor == "sqlite" or column not in ("at", "detail"):
        return changed
    if column == "detail":
        return '{"changed": ' + str(len(stored)) + "}"
    return f"2001-{stored[5:]}"


def _set(column: str, value: object, chain: int, seq: int) -> None:
    _run("UPDATE {table} SET {column} = %s WHERE chain = %s AND seq = %s", value, chain, seq, column=column)


def _run(statement: str, *said: object, column: str = "") -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement.replace("{table}", TABLE).replace("{column}", column), said)


@contextlib.contextmanager
def unchecked() -> Iterator[None]:
    """Every guard off: the triggers, and SQLite's own check that JSON is JSON."""
    with lifted(connection):
        _check(off=True)
        try:
            yield
        finally:
            _check(off=False)


def _check(*, off: bool) -> None:
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA ignore_check_constraints = {int(off)}")
