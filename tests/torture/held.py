"""What the tablets were told is kept, held against what the database holds."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Missing:
    """Acknowledged strokes that are gone, or that are there with other points."""

    lost: tuple[str, ...]
    changed: tuple[str, ...]

    @property
    def none(self) -> bool:
        return not self.lost and not self.changed


def missing(acknowledged: Mapping[str, str], stored: Mapping[str, str]) -> Missing:
    """Both by id, with the SHA-256 of the stroke as it was sent."""
    lost = tuple(sorted(acknowledged.keys() - stored.keys()))
    changed = tuple(each for each, sha256 in acknowledged.items() if stored.get(each, sha256) != sha256)
    return Missing(lost, changed)


def stored() -> dict[str, str]:
    """Every stroke of the database: hash by id."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT event_id, body_sha256 FROM charting_storedstroke")
        return {_uuid(event_id): sha256 for event_id, sha256 in cursor.fetchall()}


def _uuid(value: object) -> str:
    """With its hyphens: SQLite keeps bare hexadecimal digits."""
    digits = str(value).replace("-", "")
    return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))


def points_differ(sent: Mapping[str, str]) -> int:
    """How many rows hold points that do not make the hash of what was sent. Reads all of them."""
    import json

    from charting.drawing.models import StoredStroke
    from tests.torture.tablets import sha256_of

    wrong = 0
    for row in StoredStroke.objects.iterator(chunk_size=2000):
        body = {
            "type": "stroke",
            "id": str(row.event_id),
            "seq": row.seq,
            "view": row.view,
            "kind": row.kind,
            "mode": row.mode,
            "nib_mm": _as_sent(row.nib_mm),
            "points": [[x, y, pressure, _as_sent(t)] for x, y, pressure, t in row.points],
        }
        wrong += sent.get(body["id"], "") != sha256_of(json.loads(json.dumps(body)))
    return wrong


def _as_sent(number: float) -> float:
    """12 and not 12.0: the tablets of this torture send whole numbers."""
    return int(number) if number == int(number) else number


def chain_problems() -> list[str]:
    """Each row of the trail against the one before it. A second reading, by nobody's code but this."""
    from charting.audit.chain import GENESIS, hash_of
    from charting.audit.models import AuditEntry

    last: dict[int, tuple[int, str]] = {}
    wrong = []
    for row in AuditEntry.objects.order_by("chain", "seq").iterator(chunk_size=2000):
        seq, previous = last.get(row.chain, (0, GENESIS))
        if row.seq != seq + 1 or row.previous_hash != previous or row.hash != hash_of(row):
            wrong.append(f"row {row.seq} of chain {row.chain}")
        last[row.chain] = (row.seq, row.hash)
    return wrong


def drew_rows() -> tuple[int, int]:
    """Rows of the trail about drawing, and the strokes they tell of."""
    from charting.audit.models import AuditEntry

    told = AuditEntry.objects.filter(action="drew").values_list("detail", flat=True)
    return len(told), sum(each["events"] for each in told)
