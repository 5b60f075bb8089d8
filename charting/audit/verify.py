"""The chain checked, row by row: `verify(chain)`. Needs no lock and changes nothing.

What it finds: a row changed, taken out, put in or moved. What it cannot find alone: the last rows cut off, or
all of it written anew. That shows beside heads kept elsewhere (heads.py).
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from django.db import DEFAULT_DB_ALIAS
from django.db.models import QuerySet

from charting.audit.chain import GENESIS, hash_of
from charting.audit.heads import Head, chains
from charting.audit.models import AuditEntry

AT_ONCE = 2000
# So many breaks are told; the first one is where to look.
MOST = 20


@dataclass(frozen=True)
class Break:
    """Where the chain does not hold: the number of the row, and what is wrong with it."""

    seq: int
    words: str

    def __str__(self) -> str:
        return f"entry {self.seq}: {self.words}"


@dataclass(frozen=True)
class Report:
    """What was found. `rows`: how many were read; `seq` and `hash`: of the last; `breaks`: the first MOST."""

    chain: int
    rows: int
    seq: int
    hash: str
    breaks: tuple[Break, ...] = ()

    @property
    def holds(self) -> bool:
        return not self.breaks


def verify(
    chain: int, heads: Iterable[Head] = (), *, last: int | None = None, using: str = DEFAULT_DB_ALIAS
) -> Report:
    """Read a chain from its first row, or the `last` rows alone, and hold it against `heads` of it kept
    elsewhere. About 25 microseconds a row.
    """
    rows = AuditEntry.objects.using(using).filter(chain=chain)
    seq, previous = (0, GENESIS) if last is None else _before(rows, last)
    walk = _Walk(seq, previous, {head.seq: head for head in heads if head.chain == chain and head.seq > seq})
    wanted = rows if last is None else rows.filter(seq__gt=seq)
    breaks = tuple(islice(walk.breaks(wanted), MOST))
    return Report(chain, walk.rows, walk.seq, walk.previous, breaks)


def verify_every(heads: Iterable[Head] = (), *, using: str = DEFAULT_DB_ALIAS) -> tuple[Report, ...]:
    """Every chain there is, and those that only a head remembers."""
    known = tuple(heads)
    every = sorted({*chains(using), *(head.chain for head in known)})
    return tuple(verify(chain, known, using=using) for chain in every)


def _before(rows: QuerySet[AuditEntry], last: int) -> tuple[int, str]:
    """The row that the last so many follow."""
    found = rows.order_by("-seq").values_list("seq", "hash")[last : last + 1]
    return found[0] if found else (0, GENESIS)


class _Walk:
    """One way through a chain: where it stands, and what it has seen."""

    def __init__(self, seq: int, previous: str, heads: dict[int, Head]) -> None:
        self.seq, self.previous, self.rows = seq, previous, 0
        self._heads = heads

    def breaks(self, rows: QuerySet[AuditEntry]) -> Iterator[Break]:
        for row in _read(rows):
            if isinstance(row, Break):
                yield row
                continue
            self.rows += 1
            yield from self._of(row)
            self.seq, self.previous = row.seq, row.hash
        for seq in sorted(self._heads):
            yield Break(seq, "missing, and it was there when a head was written elsewhere")

    def _of(self, row: AuditEntry) -> Iterator[Break]:
        if row.seq != self.seq + 1:
            yield Break(row.seq, f"follows entry {self.seq}: what stood between is missing")
        elif row.previous_hash != self.previous:
            yield Break(row.seq, "does not follow the entry before it")
        if (row.practice_id or 0) != row.chain:
            yield Break(row.seq, "stands in the trail of another practice")
        if _hash(row) != row.hash:
            yield Break(row.seq, "was changed after it was written")
        head = self._heads.pop(row.seq, None)
        if head and head.hash != row.hash:
            yield Break(row.seq, "is not the entry that was there when a head was written elsewhere")


def _hash(row: AuditEntry) -> str:
    """ "" for a row whose content was never written by us: no time, text that is no text."""
    try:
        return hash_of(row)
    except (AttributeError, TypeError, ValueError):
        return ""


def _read(rows: QuerySet[AuditEntry]) -> Iterator[AuditEntry | Break]:
    """In order, a part at a time: memory stays flat. A part that cannot be read is read row by row."""
    left = rows.order_by("seq")
    while numbers := list(left.values_list("seq", flat=True)[:AT_ONCE]):
        try:
            yield from list(rows.filter(seq__gte=numbers[0], seq__lte=numbers[-1]).order_by("seq"))
        except (TypeError, ValueError):
            yield from (_one(rows, seq) for seq in numbers)
        left = rows.filter(seq__gt=numbers[-1]).order_by("seq")


def _one(rows: QuerySet[AuditEntry], seq: int) -> AuditEntry | Break:
    try:
        return rows.get(seq=seq)
    except (TypeError, ValueError):
        return Break(seq, "cannot be read any more")
