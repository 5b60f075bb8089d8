"""Which database is asked: the first for everything, its copy for the practice review alone."""

from typing import Any

from django.db.models import Model

from charting.review.copy import ALIAS, is_being_read

FIRST = "default"


class ReviewFromCopy:
    """Django's router (settings.DATABASE_ROUTERS), in use where TAUTLINE_REPLICA_URL names a copy."""

    def db_for_read(self, model: type[Model], **hints: Any) -> str:
        return ALIAS if is_being_read() else FIRST

    def db_for_write(self, model: type[Model], **hints: Any) -> str:
        return FIRST

    def allow_relation(self, one: Model, other: Model, **hints: Any) -> bool:
        """Rows of the copy are rows of the first."""
        return True

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool:
        """The copy gets its tables from the first."""
        return db == FIRST
