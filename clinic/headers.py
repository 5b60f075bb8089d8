"""What every answer carries: a strict content policy, no caching of patient data, a sane sign-in for htmx."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import resolve_url

Answer = Callable[[HttpRequest], HttpResponse]

CONTENT_POLICY = "; ".join(
    [
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    ]
)


class ResponseHeaders:
    """Sets the policy on every page and forbids caches to keep anything but static files."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        response.headers.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
        if not request.path.startswith(settings.STATIC_URL):
            # no-store keeps the Back button of a handed-over tablet from showing the last chart.
            response.headers.setdefault("Cache-Control", "no-store")
        return response


class HtmxSignIn:
    """An expired session inside an htmx call sends the whole page to sign in, not a form into a piece."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        target = response.headers.get("Location", "")
        if request.headers.get("HX-Request") and target.startswith(resolve_url(settings.LOGIN_URL)):
            return HttpResponse(status=204, headers={"HX-Redirect": resolve_url(settings.LOGIN_URL)})
        return response
