"""What was found in a database or in a copy of one."""

from dataclasses import dataclass

from charting.audit.heads import Head
from charting.safekeeping.digests import Tables


@dataclass(frozen=True)
class Found:
    """`migration`: the newest that was applied. `problems`: what is not as it was written, in words."""

    migration: str
    tables: Tables
    heads: tuple[Head, ...]
    problems: tuple[str, ...]

    @property
    def rows(self) -> int:
        return sum(table.rows for table in self.tables.values())
