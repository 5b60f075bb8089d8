"""The clock of a session: who gives no sign of life is signed out, and nobody stays longer than a day's work.

By the server's own time, with or without scripts. What a page asks by itself is no sign of life.
"""

import time
from collections.abc import Callable
from functools import cache

from django.contrib.auth import SESSION_KEY, logout
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from charting.staff import sessions

IDLE_SECONDS = int(sessions.IDLE.total_seconds())
LONGEST_SECONDS = int(sessions.LONGEST.total_seconds())
# The sign of life is written down no more often than this.
WRITTEN_EACH = 60
# What pages ask again and again while nobody is there.
ASKED_BY_ITSELF = ("told-now", "session-left")
BEGAN, SEEN = "began", "seen"


class SignedOutByTheClock:
    """Ends a session whose time is over, before anything else. `request.ended_by_clock` says why."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if SESSION_KEY in request.session:
            _look_at(request)
        return self.get_response(request)


def begin(request: HttpRequest) -> None:
    """The clock starts with signing in."""
    request.session[BEGAN] = request.session[SEEN] = int(time.time())


def stay(request: HttpRequest) -> None:
    """A sign of life, now."""
    request.session[SEEN] = int(time.time())
    sessions.seen(request)


def seconds_left(request: HttpRequest) -> tuple[int, int]:
    """Until the session ends if nothing happens, and until it ends anyway."""
    now = time.time()
    at_all = request.session.get(BEGAN, now) + LONGEST_SECONDS - now
    idle = request.session.get(SEEN, now) + IDLE_SECONDS - now
    return max(0, int(min(idle, at_all))), max(0, int(at_all))


def _look_at(request: HttpRequest) -> None:
    now = time.time()
    if BEGAN not in request.session:
        begin(request)
    quiet = now - request.session[SEEN]
    if quiet >= IDLE_SECONDS or now - request.session[BEGAN] >= LONGEST_SECONDS:
        logout(request)
        request.ended_by_clock = "quiet" if quiet >= IDLE_SECONDS else "long"  # type: ignore[attr-defined]
    elif quiet >= WRITTEN_EACH and request.path not in _asked_by_itself():
        stay(request)


@cache
def _asked_by_itself() -> frozenset[str]:
    return frozenset(reverse(name) for name in ASKED_BY_ITSELF)
