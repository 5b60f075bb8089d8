"""Whether this process can do its work now: asked by whatever shares the requests out among several."""

import logging
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import Error, connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone
from django.utils.crypto import get_random_string

from charting.retention.models import Purge

# Common practice: room for some hours of a busy practice, and for the copy before an upgrade.
LEAST_FREE = 512 * 1024**2
log = logging.getLogger(__name__)


def is_ready() -> bool:
    """What is amiss goes into the log, by name and type; whoever asks is told yes or no."""
    return all(_holds(part, check) for part, check in CHECKS.items())


def _holds(part: str, check: Callable[[], bool]) -> bool:
    try:
        fine = check()
    except (Error, OSError):
        log.exception("not ready", extra={"part": part})
        return False
    if not fine:
        log.warning("not ready", extra={"part": part})
    return fine


def can_write() -> bool:
    """A row written and taken back."""
    with transaction.atomic():
        Session.objects.create(session_key=get_random_string(32), expire_date=timezone.now())
        transaction.set_rollback(True)
    return True


def is_up_to_date() -> bool:
    return wanted() <= set(MigrationRecorder(connection).applied_migrations())


@cache
def wanted() -> frozenset[tuple[str, str]]:
    """Every migration of this release; the files do not change while it runs."""
    return frozenset(MigrationLoader(None).disk_migrations)


def has_room() -> bool:
    return shutil.disk_usage(Path(settings.DATA)).free >= LEAST_FREE


def is_guarded() -> bool:
    """No purge stands open: while one does, rows of the append-only tables could go."""
    return not Purge.objects.filter(finished_at=None).exists()


CHECKS = {
    "database": can_write,
    "migrations": is_up_to_date,
    "disk": has_room,
    "purge": is_guarded,
}
