"""What a copy says of itself: when it was made, of which release, and what must be found in it. JSON."""

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from charting.audit.heads import Head
from charting.safekeeping.digests import Held, Tables
from charting.safekeeping.found import Found

FORMAT = "tautline-copy-1"
SQLITE, POSTGRES = "sqlite", "postgresql"


class Unreadable(ValueError):
    """It is no manifest of ours; the message says why."""


@dataclass(frozen=True)
class Manifest:
    """`database`: SQLITE or POSTGRES; `found`: what was found when it was made; `files`: their SHA-256."""

    made_at: datetime
    database: str
    found: Found
    files: dict[str, str]


def written(manifest: Manifest) -> bytes:
    found = manifest.found
    told = {
        "format": FORMAT,
        "made_at": manifest.made_at.isoformat(timespec="seconds"),
        "database": manifest.database,
        "migration": found.migration,
        "files": manifest.files,
        "tables": {name: [held.rows, held.sum] for name, held in found.tables.items()},
        "heads": [[head.chain, head.seq, head.hash, head.at.isoformat()] for head in found.heads],
        "problems": list(found.problems),
    }
    return json.dumps(told, indent=1, sort_keys=True).encode()


def parse(said: bytes) -> Manifest:
    """Raises Unreadable."""
    try:
        told = json.loads(said)
        if told["format"] != FORMAT:
            raise Unreadable(f"This copy has the format {told['format']!r}; this release reads {FORMAT!r}.")
        return _manifest(told)
    except Unreadable:
        raise
    except (ValueError, KeyError, TypeError, AttributeError):
        raise Unreadable("The list of contents of this copy cannot be read.") from None


def _manifest(told: dict[str, Any]) -> Manifest:
    if told["database"] not in (SQLITE, POSTGRES):
        raise Unreadable(f"This copy is of a database of an unknown kind, {told['database']!r}.")
    files = {str(name): str(hashed) for name, hashed in told["files"].items()}
    made_at = datetime.fromisoformat(told["made_at"])
    return Manifest(made_at, told["database"], _found(told), files)


def _found(told: dict[str, Any]) -> Found:
    tables: Tables = {name: Held(int(rows), str(total)) for name, (rows, total) in told["tables"].items()}
    heads = tuple(
        Head(int(chain), int(seq), str(hashed), datetime.fromisoformat(at))
        for chain, seq, hashed, at in told["heads"]
    )
    return Found(str(told["migration"]), tables, heads, tuple(map(str, told["problems"])))
