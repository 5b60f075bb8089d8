"""The way in and out, the day, and the pages for when something is wrong."""

import ipaddress
import sys
from typing import Any

from django.conf import settings
from django.contrib.auth import views as auth
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseServerError
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_GET

from charting.appointments.times import day_typed
from charting.entrance import samples, trust, way_in
from charting.entrance.forms import SignInForm, waiting_in
from charting.entrance.pages import tablet_page, today_page
from charting.entrance.ready import is_ready
from charting.staff.gate import only_reads_the_log
from charting.staff.requests import address_of, is_trusted, staff
from charting.versioning import no_room_left

WHOSE_DAY = "whose_day"
ENDED = {
    "quiet": "You were signed out because nothing was done for 15 minutes. Sign in to go on where you were.",
    "long": "You were signed out after 12 hours. Sign in to go on where you were.",
}


@method_decorator(login_not_required, name="dispatch")
class SignIn(auth.LoginView):
    """The first step of signing in: name and password (charting.entrance.way_in)."""

    http_method_names = ["get", "post"]
    template_name = "entrance/sign_in.html"
    authentication_form = SignInForm

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        user = form.get_user()
        leads_to, waiting = self.get_success_url(), waiting_in(self.request.POST)
        if way_in.owes_a_code(self.request, user):
            return way_in.wait_for_code(self.request, user, next=leads_to, waiting=waiting)
        return way_in.let_in(self.request, user, next=leads_to, waiting=waiting, gave_code=False)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(certificate=bool(settings.TABLET_URLS), ended=self._ended(), **more)

    def _ended(self) -> str:
        """Why one is here again, when the clock sent one."""
        return ENDED.get(self.request.GET.get("ended", ""), "")

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        response = super().form_invalid(form)
        wait = getattr(form, "wait", 0)
        if wait:
            response.status_code = 429
            response.headers["Retry-After"] = str(wait)
        return response


class SignOut(auth.LogoutView):
    """Signing out; the browser is told to forget the pages it kept."""

    http_method_names = ["post"]

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = super().post(request, *args, **kwargs)
        # Not "storage": what a board could not send waits there, encrypted and unreadable without the server,
        # until somebody signs in on this device. Emptying it would lose a drawing.
        response.headers["Clear-Site-Data"] = '"cache"'
        return response


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """The day list: `day` is one of the calendar, `of` "own" or "practice", kept with the session."""
    if only_reads_the_log(staff(request)):
        return redirect("log")
    said = request.GET.get("of", "")
    if said in ("own", "practice"):
        request.session[WHOSE_DAY] = said
    own = request.session.get(WHOSE_DAY, "own") == "own"
    page = today_page(staff(request), day_typed(request.GET.get("day", "")), own=own)
    return render(request, "entrance/today.html", {"page": page})


@require_GET
def tablet(request: HttpRequest) -> HttpResponse:
    """Where a tablet finds this server, and how it comes to trust it."""
    return render(request, "entrance/tablet.html", {"page": tablet_page()})


@require_GET
@login_not_required
def authority(request: HttpRequest) -> HttpResponse:
    """The certificate that a device is to trust: public by its nature, needed before anybody signs in."""
    made = trust.certificate()
    if not made:
        raise Http404
    return HttpResponse(made, content_type="application/x-x509-ca-cert")


@require_GET
def pieces(request: HttpRequest) -> HttpResponse:
    """Every piece that pages are made of, with sample data. For whoever builds or checks pages."""
    page = samples.pieces_page()
    return render(request, "entrance/pieces.html", {"page": page, "visit": page.visit})


@require_GET
@login_not_required
def healthz(request: HttpRequest) -> HttpResponse:
    """Says that the process answers; nothing about what it holds."""
    return HttpResponse("ok", content_type="text/plain")


@require_GET
@login_not_required
def readyz(request: HttpRequest) -> HttpResponse:
    """Whether this process can do its work. To others than this machine and its proxies: 404."""
    if not is_trusted(ipaddress.ip_address(address_of(request))):
        raise Http404
    ready = is_ready()
    return HttpResponse(
        "ready" if ready else "not ready", content_type="text/plain", status=200 if ready else 503
    )


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _plain(request, 400, "That request could not be read", "Go back, reload the page and try again.")


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    why = str(exception) or "Your role does not include this."
    return _plain(request, 403, "Not open to you", why)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _plain(
        request, 404, "Nothing here", "The address is not known, or what stands there is not open to you."
    )


def went_wrong(request: HttpRequest) -> HttpResponse:
    """Rendered without the request: who is signed in stands in the database, which may be what is wrong."""
    if no_room_left(sys.exc_info()[1]):
        words = {
            "title": "The server has no room left",
            "text": "Nothing of this was saved: the disk of the server is full. What was saved before is "
            "safe. Leave this page open, tell whoever looks after the server, and try again then.",
        }
        return HttpResponse(render_to_string("entrance/plain.html", words), status=507)
    words = {
        "title": "Something went wrong on our side",
        "text": "What was saved is safe. Go back and try once more.",
    }
    return HttpResponseServerError(render_to_string("entrance/plain.html", words))


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    return _plain(
        request,
        403,
        "This page is too old",
        "It was opened before you last signed in. Go back: what you typed is still there. "
        "Copy it, reload the page, and send it again.",
    )


def _plain(request: HttpRequest, status: int, title: str, text: str) -> HttpResponse:
    return render(request, "entrance/plain.html", {"title": title, "text": text}, status=status)
