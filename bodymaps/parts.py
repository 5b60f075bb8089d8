"""Coarse parts of the body."""

from __future__ import annotations

from typing import Any

KEYS: tuple[str, ...] = ()


def as_json() -> dict[str, Any]:
    return {"parts": [], "places": []}
