"""The review may be read from a copy of the database that follows it, where there is one.

Only while `from_copy` runs, only if the copy is near enough, and again from the first database when the copy
fails on the way: it may be cut off, or take a row back that is being read. Reads alone; what is written down
about the look goes where everything is written.
"""

import logging
from collections.abc import Callable
from contextvars import ContextVar
from datetime import timedelta
from typing import TypeVar

from django.db import Error, connections

ALIAS = "replica"
# Older than this, and the review is read where it is written. A choice of ours: it tells of months.
MOST_BEHIND = timedelta(seconds=30)
_reading: ContextVar[bool] = ContextVar("reading_from_copy", default=False)
log = logging.getLogger(__name__)
T = TypeVar("T")


def is_being_read() -> bool:
    """Whether reads go to the copy now: asked by the router."""
    return _reading.get()


def from_copy(read: Callable[[], T]) -> T:
    """What `read` gives, from the copy if that can be."""
    if ALIAS not in connections.settings or not is_near():
        return read()
    token = _reading.set(True)
    try:
        return read()
    except Error:
        log.exception("the copy failed, read again from the first")
    finally:
        _reading.reset(token)
    return read()


def is_near() -> bool:
    """Whether the copy has everything, or what it has last is young enough. Two short questions."""
    try:
        with connections["default"].cursor() as first:
            first.execute("SELECT pg_current_wal_lsn()::text")
            written = first.fetchone()[0]
        with connections[ALIAS].cursor() as copy:
            copy.execute(
                "SELECT pg_is_in_recovery() AND (pg_last_wal_replay_lsn() >= %s::pg_lsn"
                " OR now() - pg_last_xact_replay_timestamp() <= make_interval(secs => %s))",
                [written, MOST_BEHIND.total_seconds()],
            )
            near = bool(copy.fetchone()[0])
    except Error:
        log.exception("the copy can't be asked")
        return False
    if not near:
        log.warning("the copy is too far behind")
    return near
