"""A line in the log for each request: which kind of page, who by number, how it ended, how long it took."""

import logging
import re
import time
import uuid
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from charting.staff.requests import asked_by_proxy
from clinic.logs import request_id

HEADER = "X-Request-ID"
PLAIN_ID = re.compile(r"[A-Za-z0-9-]{8,64}")
log = logging.getLogger(__name__)


class AccessLine:
    """First of all middleware. The address itself is never written: it holds what a visitor likes."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        token = request_id.set(_id_of(request))
        began = time.perf_counter()
        try:
            response = self.get_response(request)
            response.headers[HEADER] = request_id.get()
            log.info("answered", extra=_line(request, response, time.perf_counter() - began))
            return response
        finally:
            request_id.reset(token)


def route_of(request: HttpRequest) -> str:
    """The pattern of the address ("visits/<uuid:visit_id>/"), not what stood in it."""
    if request.resolver_match:
        return "/" + request.resolver_match.route
    return "static file" if request.path.startswith(settings.STATIC_URL) else "no such address"


def _line(request: HttpRequest, response: HttpResponse, seconds: float) -> dict[str, object]:
    # Only a person who was looked up for the request anyway; a line in the log asks the database nothing.
    user = getattr(request, "_cached_user", None)
    return {
        "request": request_id.get(),
        "method": request.method if request.method in ("GET", "HEAD", "POST") else "other",
        "route": route_of(request),
        "status": response.status_code,
        "ms": round(1000 * seconds, 1),
        "bytes": 0 if response.streaming else len(response.content),
        "user": user.pk if user else None,
    }


def _id_of(request: HttpRequest) -> str:
    """What a proxy of ours calls this request, so that its log and ours meet; else a name of our own."""
    said = request.headers.get(HEADER, "")
    return said if asked_by_proxy(request) and PLAIN_ID.fullmatch(said) else uuid.uuid4().hex
