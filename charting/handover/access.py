"""The patient's door: one visit's board, opened by the token of a hand-over."""

import hashlib

from django.conf import settings
from django.http import HttpRequest
from django.utils import timezone

from charting.handover.models import HandOver


def cookie_name() -> str:
    """Over TLS bound to this server: browsers take that name only with Secure, path "/" and no domain."""
    return "__Host-board" if settings.TLS else "board"


def digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def hand_over_behind(request: HttpRequest) -> HandOver | None:
    """The running hand-over that this device holds a token for, or None."""
    token = request.COOKIES.get(cookie_name(), "")
    if not token:
        return None
    return (
        HandOver.objects.select_related("visit__patient", "given_by")
        .filter(token_sha256=digest(token), ended_at=None, expires_at__gt=timezone.now())
        .first()
    )
