"""Two people at one chart: the later save never silently overwrites the earlier one."""

import sqlite3
from typing import Any

from django.db import DatabaseError, models
from django.db.models import F


class Stale(Exception):
    """Somebody saved in between. `current` is the row as it stands now."""

    def __init__(self, current: models.Model) -> None:
        super().__init__("changed by somebody else since this page was opened")
        self.current = current


def save_if_current(row: models.Model, *, version: int, **changes: Any) -> None:
    """Write `changes` only if the row still has `version`, and count the version up.

    Raises Stale, with the row as it is now, when it does not. One UPDATE, so it holds on SQLite
    and PostgreSQL without locks.
    """
    manager = type(row)._default_manager
    done = manager.filter(pk=row.pk, version=version).update(version=F("version") + 1, **changes)
    row.refresh_from_db()
    if not done:
        raise Stale(row)


def no_room_left(problem: BaseException | None) -> bool:
    """Whether a database refused to write for a full disk: SQLITE_FULL of SQLite, 53100 of PostgreSQL."""
    cause = problem.__cause__ if isinstance(problem, DatabaseError) else None
    is_full = getattr(cause, "sqlite_errorcode", None) == sqlite3.SQLITE_FULL
    return is_full or getattr(cause, "sqlstate", None) == "53100"
