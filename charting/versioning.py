"""Two people at one chart: the later save never silently overwrites the earlier one."""

from typing import Any

from django.db import models
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
