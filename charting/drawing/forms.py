"""Turns a request of the board into a list of events."""

import json
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest

from bodymaps.strokes import LIMITS

# The board sends far less at a time; the number is that of DATA_UPLOAD_MAX_MEMORY_SIZE.
TOO_LARGE = f"Nothing of this was saved: a request holds at most {LIMITS.bytes_per_request // 1024} KB."


class UnreadableRequest(Exception):
    """The body is not what a board sends; the text says what to mend, `status` says it to machines."""

    def __init__(self, why: str, *, status: int = 400) -> None:
        super().__init__(why)
        self.status = status


def read_events(request: HttpRequest) -> list[dict[str, Any]]:
    """The events of one request. Raises UnreadableRequest."""
    try:
        body = json.loads(request.body, parse_constant=_no_constant)
    except RequestDataTooBig as problem:
        raise UnreadableRequest(TOO_LARGE, status=413) from problem
    except (ValueError, RecursionError) as problem:
        raise UnreadableRequest(f"The drawing could not be read: {problem}") from problem
    sent = body.get("events") if isinstance(body, dict) else None
    if not isinstance(sent, list):
        raise UnreadableRequest('The drawing must be sent as {"events": [...]}.')
    return sent


def _no_constant(name: str) -> None:
    # JSON has no NaN and no Infinity, though Python's reader takes them.
    raise ValueError(f"{name} is not a number of a drawing")
