"""What a board sends, made by hand."""

import json
import uuid
from typing import Any


def stroke(seq: int, *, points: int = 3, **others: Any) -> dict[str, Any]:
    """A short line down the right upper arm in the front view."""
    line = [[300 + step % 100, 400 + step // 100, 0.5, step] for step in range(points)]
    made = {"type": "stroke", "id": str(uuid.uuid4()), "seq": seq, "view": "front", "kind": "ache"}
    return {**made, "mode": "shade", "nib_mm": 30, "points": line, **others}


def withdrawal(seq: int, *ids: str, restores: bool = False) -> dict[str, Any]:
    named = {"strokes": list(ids), "restores": restores}
    return {"type": "withdraw", "id": str(uuid.uuid4()), "seq": seq, **named}


def answer(seq: int, *, no_pain: bool = False, **intensities: int) -> dict[str, Any]:
    said = {"intensities": intensities, "no_pain": no_pain}
    return {"type": "answer", "id": str(uuid.uuid4()), "seq": seq, **said}


def events(*sent: dict[str, Any]) -> str:
    return json.dumps({"events": list(sent)})
