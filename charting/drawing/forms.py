"""Turns a request of the board into a list of events."""

import json
from typing import Any

from django.http import HttpRequest


class UnreadableRequest(Exception):
    """The body is not what a board sends; the text says what to mend."""


def read_events(request: HttpRequest) -> list[dict[str, Any]]:
    """The events of one request. Raises UnreadableRequest. Django refuses bodies over 256 KB before this."""
    try:
        body = json.loads(request.body, parse_constant=_no_constant)
    except (ValueError, RecursionError) as problem:
        raise UnreadableRequest(f"The drawing could not be read: {problem}") from problem
    sent = body.get("events") if isinstance(body, dict) else None
    if not isinstance(sent, list):
        raise UnreadableRequest('The drawing must be sent as {"events": [...]}.')
    return sent


def _no_constant(name: str) -> None:
    # JSON has no NaN and no Infinity, though Python's reader takes them.
    raise ValueError(f"{name} is not a number of a drawing")
