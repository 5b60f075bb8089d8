"""What every answer carries: a strict content policy, no caching of patient data, a way to sign in."""

from collections.abc import Callable
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import resolve_url
from django.utils.http import url_has_allowed_host_and_scheme

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
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault("X-Content-Type-Options", "nosniff")
        response.headers.setdefault("Referrer-Policy", settings.SECURE_REFERRER_POLICY)
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
            return HttpResponse(status=204, headers={"HX-Redirect": target})
        return response


class SignInFirst(LoginRequiredMiddleware):
    """Signing in leads back to where one was. After a form that is the page it stood on: its own address
    may take forms only; a piece that htmx asks for is no page.
    """

    def handle_no_permission(
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponseRedirect:
        back = _page_to_go_back_to(request)
        why = getattr(request, "ended_by_clock", "")
        sign_in = resolve_url(settings.LOGIN_URL)
        return redirect_to_login(back, f"{sign_in}?ended={why}" if why else sign_in)


def _page_to_go_back_to(request: HttpRequest) -> str:
    """A whole page: what htmx asked for is a piece of the one it stands on."""
    if request.headers.get("HX-Request"):
        return _page_before(request, request.headers.get("HX-Current-URL", ""))
    if request.method in ("GET", "HEAD"):
        return request.get_full_path()
    return _page_before(request, request.headers.get("Referer", ""))


def _page_before(request: HttpRequest, page: str) -> str:
    """The path of the page that sent this request, if it is one of ours; else the first page."""
    if not url_has_allowed_host_and_scheme(page, {request.get_host()}, require_https=request.is_secure()):
        return resolve_url(settings.LOGIN_REDIRECT_URL)
    return urlsplit(page)._replace(scheme="", netloc="", fragment="").geturl()
