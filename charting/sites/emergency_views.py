"""A chart opened in an emergency, ended, and looked at by an owner."""

import math
import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.sites import emergency_queries as queries
from charting.sites import emergency_services as services
from charting.sites import pages
from charting.sites.emergency_services import KnownAnyway, MustWait, NotKept, NotOpened
from charting.sites.forms import EmergencyForm, LookedForm
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import require


@require_http_methods(["GET", "POST"])
def emergency_access(request: HttpRequest) -> HttpResponse:
    user = staff(request)
    require(user, queries.RIGHT)
    if request.method == "GET":
        return _ask(request, user, EmergencyForm())
    form = EmergencyForm(request.POST)
    if not form.is_valid():
        return _ask(request, user, form, status=422)
    try:
        access = services.open_chart(who=user, sought=form.sought(), reason=form.cleaned_data["reason"])
    except KnownAnyway as known:
        return redirect("patient", known.patient.pk)
    except MustWait as problem:
        return _wait(request, user, form, problem)
    except NotOpened as problem:
        form.add_error(None, str(problem))
        return _ask(request, user, form, status=422)
    return redirect("patient", access.patient_id)


@require_POST
def end(request: HttpRequest, access_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    access = queries.own_access(user, access_id)
    services.end(who=user, access=access)
    messages.success(request, "The chart is closed again.", extra_tags="ok")
    return redirect("emergency-access" if access.user_id == user.pk else "emergencies")


@require_GET
def emergencies(request: HttpRequest) -> HttpResponse:
    """Every chart of the practice that was opened in an emergency."""
    user = staff(request)
    require(user, queries.OVERSEES)
    return render(request, "sites/emergencies.html", {"page": pages.accesses_page(user)})


@require_http_methods(["GET", "POST"])
def emergency(request: HttpRequest, access_id: uuid.UUID) -> HttpResponse:
    """One of them, and what an owner made of it."""
    user = staff(request)
    require(user, queries.OVERSEES)
    access = queries.access_for(user, access_id)
    if request.method == "GET":
        record_look(who=user, at=access, as_="opened emergency opening")
        return render(
            request, "sites/emergency.html", {"page": pages.access_page(user, access, LookedForm())}
        )
    form = LookedForm(request.POST)
    if form.is_valid():
        try:
            services.look_at(who=user, access=access, remark=form.cleaned_data["remark"])
        except NotKept as problem:
            form.add_error("remark", str(problem))
        else:
            messages.success(request, "What you made of it is kept.", extra_tags="ok")
            return redirect("emergencies")
    page = pages.access_page(user, access, form)
    return render(request, "sites/emergency.html", {"page": page}, status=422)


def _ask(request: HttpRequest, user: User, form: EmergencyForm, *, status: int = 200) -> HttpResponse:
    page = pages.EmergencyPage(form, tuple(queries.open_now(user)))
    return render(request, "sites/emergency_access.html", {"page": page}, status=status)


def _wait(request: HttpRequest, user: User, form: EmergencyForm, problem: MustWait) -> HttpResponse:
    form.add_error(
        None, f"Too many tries. The next may be made at {timezone.localtime(problem.until):%H:%M}."
    )
    response = _ask(request, user, form, status=429)
    seconds = (problem.until - timezone.now()).total_seconds()
    response.headers["Retry-After"] = str(max(1, math.ceil(seconds)))
    return response
