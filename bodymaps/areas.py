"""Symptom areas: strokes that belong together."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Decision:
    """Somebody put strokes together, or set them apart as an area of their own."""

    seq: int
    id: str
    strokes: tuple[str, ...]
    together: bool
