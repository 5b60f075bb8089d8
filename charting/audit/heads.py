"""Heads of the chains kept elsewhere: how many rows a chain had, and the hash of the last. Whoever writes the
whole table anew, or cuts its end off, cannot also change what was printed, mailed or written on another host.

A file of heads is text, one head a line: chain, number of the last row, its hash, when it was written (UTC).
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db import DEFAULT_DB_ALIAS
from django.utils import timezone

from charting.audit import chain
from charting.audit.models import AuditEntry

LINE = re.compile(r"(\d{1,18}) (\d{1,18}) ([0-9a-f]{64}) (\S{1,40})")


class Unreadable(ValueError):
    """A line that is no head; said with its number."""


@dataclass(frozen=True)
class Head:
    """The last row of a chain as it was at `at`."""

    chain: int
    seq: int
    hash: str
    at: datetime

    def __str__(self) -> str:
        at = self.at.astimezone(UTC).isoformat(timespec="seconds")
        return f"{self.chain} {self.seq} {self.hash} {at}"


def chains(using: str = DEFAULT_DB_ALIAS) -> tuple[int, ...]:
    """Every chain there is."""
    rows = AuditEntry.objects.using(using).order_by("chain").values_list("chain", flat=True)
    return tuple(rows.distinct())


def heads_now() -> tuple[Head, ...]:
    """Of every chain, as it stands."""
    now = timezone.now()
    return tuple(Head(which, *chain.head(which), now) for which in chains())


def parse(lines: Iterable[str]) -> Iterator[Head]:
    """The heads of a file; empty lines and those that begin with # are skipped. Raises Unreadable."""
    for number, line in enumerate(lines, 1):
        said = line.strip()
        if said and not said.startswith("#"):
            yield _head(number, said)


def _head(number: int, said: str) -> Head:
    found = LINE.fullmatch(said)
    try:
        if found:
            which, seq, hashed, at = found.groups()
            return Head(int(which), int(seq), hashed, datetime.fromisoformat(at))
    except ValueError:
        pass
    raise Unreadable(f"line {number} is no head (chain, number, hash of 64 hex digits, time): {said[:80]!r}")
