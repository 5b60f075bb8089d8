"""The trail as a chain: each row holds the hash of the one before it, so that none is changed, lost, put in
or moved unseen. Against somebody who can write the whole table anew only the heads kept elsewhere help.

The leaf hash has a prefix of its own, after RFC 9162 (certificate transparency): nothing else hashes alike.
"""

import hashlib
import json
from collections.abc import Iterable, Sequence
from datetime import UTC
from typing import Any

from django.db import connection

from charting.audit.models import AuditEntry

# What the first row of a chain holds in place of a hash.
GENESIS = "0" * 64
PREFIX = b"tautline-audit-1\0"
# Any number of our own; together with the chain it names a lock of PostgreSQL.
LOCK = 7_214_001


def hash_of(row: AuditEntry) -> str:
    """SHA-256 over everything a row says, and over the hash of the row before it; 64 hex digits."""
    return hashlib.sha256(PREFIX + canonical(_told(row))).hexdigest()


def canonical(told: Any) -> bytes:
    """The same bytes for the same content, whichever database gave it back."""
    return json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def link(chain: int, rows: Sequence[AuditEntry]) -> None:
    """Number these new rows and give each its hash, after the last of the chain. Holds the chain until the
    transaction ends: SQLite has one writer anyway, PostgreSQL gets a lock.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [LOCK, chain % 2**31])
    seq, previous = head(chain)
    join(rows, chain, seq, previous)


def join(rows: Iterable[AuditEntry], chain: int, seq: int, previous: str) -> None:
    """The same after a given head: its number and its hash."""
    for row in rows:
        seq += 1
        row.chain, row.seq, row.previous_hash = chain, seq, previous
        row.hash = previous = hash_of(row)


def head(chain: int) -> tuple[int, str]:
    """Number and hash of the last row; (0, GENESIS) for a chain without any."""
    rows = AuditEntry.objects.filter(chain=chain).order_by("-seq").values_list("seq", "hash")
    return rows.first() or (0, GENESIS)


def _told(row: AuditEntry) -> dict[str, Any]:
    return {
        "chain": row.chain,
        "seq": row.seq,
        "at": row.at.astimezone(UTC).isoformat(timespec="microseconds"),
        "practice": row.practice_id,
        "actor": row.actor,
        "actor_id": row.actor_id,
        "role": row.role,
        "address": row.address,
        "action": row.action,
        "object_type": row.object_type,
        "object_id": row.object_id,
        "detail": row.detail,
        "previous": row.previous_hash,
    }
