"""The sites of a practice, and where a person is seen."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from charting.audit.services import record_look
from charting.patients.queries import open_patient
from charting.sites import pages, queries, services
from charting.sites.forms import OneSiteForm, PlacesForm, SiteForm
from charting.sites.pages import SitePage
from charting.sites.services import RIGHT, ElsewhereNow, NotDone
from charting.staff.models import Site, User
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.versioning import Stale


@require_http_methods(["GET", "POST"])
def sites(request: HttpRequest) -> HttpResponse:
    """The sites, and a new one."""
    user = staff(request)
    require(user, RIGHT)
    form = SiteForm(request.POST if request.method == "POST" else None)
    if request.method == "GET":
        return render(request, "sites/sites.html", {"page": pages.sites_page(user, form)})
    if form.is_valid():
        try:
            row = services.add_site(who=user, **form.about())
        except NotDone as problem:
            form.add_error("name", str(problem))
        else:
            messages.success(request, f"{row.name} is added.", extra_tags="ok")
            return redirect("sites")
    return render(request, "sites/sites.html", {"page": pages.sites_page(user, form)}, status=422)


@require_http_methods(["GET", "POST"])
def site(request: HttpRequest, site_id: int) -> HttpResponse:
    """One site: who works there; its name changed."""
    user = staff(request)
    require(user, RIGHT)
    row = queries.site_of(user, site_id)
    if request.method == "GET":
        return _site(request, pages.site_page(row, SiteForm(initial=SiteForm.values_of(row))))
    form = SiteForm(request.POST)
    if not form.is_valid():
        return _site(request, pages.site_page(row, form), status=422)
    said, version = form.about(), form.cleaned_data["version"] or 0
    try:
        services.change_site(who=user, site=row, version=version, **said)
    except NotDone as problem:
        form.add_error("name", str(problem))
        return _site(request, pages.site_page(row, form), status=422)
    except Stale:
        again = SiteForm(initial={**said, "version": row.version})
        clashes = pages.clashes_of(said, row)
        return _site(request, pages.site_page(row, again, clashes=clashes), status=409)
    messages.success(request, f"{row.name} is changed.", extra_tags="ok")
    return redirect("sites")


@require_POST
def close(request: HttpRequest, site_id: int) -> HttpResponse:
    """Close a site; its people are seen at another one from then on."""
    user = staff(request)
    require(user, RIGHT)
    row = queries.site_of(user, site_id)
    form = OneSiteForm(request.POST, sites=Site.objects.filter(practice=user.practice_id, in_use=True))
    status, why = 422, ""
    if form.is_valid():
        version, instead = form.cleaned_data["version"] or 0, form.cleaned_data["site"]
        try:
            count = services.close_site(who=user, site=row, version=version, instead=instead)
        except NotDone as problem:
            why = str(problem)
        except Stale:
            status, why = 409, "Somebody changed this site since the page was opened. Look at it again."
        else:
            moved = f" {count} people are seen at {instead} now." if instead and count else ""
            messages.success(request, f"{row.name} is closed.{moved}", extra_tags="ok")
            return redirect("sites")
        form.add_error("site", why)
    edited = SiteForm(initial=SiteForm.values_of(row))
    return _site(request, pages.site_page(row, edited, form if status == 422 else None), status=status)


@require_POST
def reopen(request: HttpRequest, site_id: int) -> HttpResponse:
    user = staff(request)
    require(user, RIGHT)
    row = services.reopen_site(who=user, site=queries.site_of(user, site_id))
    messages.success(request, f"{row.name} is in use again.", extra_tags="ok")
    return redirect("sites")


@require_http_methods(["GET", "POST"])
def at_none(request: HttpRequest) -> HttpResponse:
    """Who is seen at no site; all of them seen at one."""
    user = staff(request)
    require(user, RIGHT)
    offered = Site.objects.filter(practice=user.practice_id, in_use=True)
    form = OneSiteForm(request.POST if request.method == "POST" else None, sites=offered)
    if request.method == "GET":
        return render(request, "sites/at_none.html", {"page": pages.at_none_page(user, form)})
    if form.is_valid():
        chosen = form.cleaned_data["site"]
        try:
            count = services.place_all(who=user, site=chosen)
        except NotDone as problem:
            form.add_error("site", str(problem))
        else:
            messages.success(request, f"{count} people are seen at {chosen} now.", extra_tags="ok")
            return redirect("sites")
    return render(request, "sites/at_none.html", {"page": pages.at_none_page(user, form)}, status=422)


@require_http_methods(["GET", "POST"])
def patient_sites(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    """Where a person is seen."""
    user = staff(request)
    patient = open_patient(user, patient_id)
    require(user, "register")
    places = queries.places_of(patient)
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened patient")
        form = PlacesForm(initial=PlacesForm.values_of(places), places=places)
        return _places(request, user, patient, form)
    form = PlacesForm(request.POST, places=places)
    if form.is_valid():
        try:
            shown = form.cleaned_data["shown"]
            services.place(who=user, patient=patient, sites=form.chosen(), shown=shown)
        except NotDone as problem:
            form.add_error("sites", str(problem))
        except ElsewhereNow:
            now = ", ".join(one.site.name for one in queries.places_of(patient) if one.here) or "no site"
            values = {"sites": form.cleaned_data["sites"], "shown": PlacesForm.values_of(places)["shown"]}
            again = PlacesForm(initial=values, places=places)
            return _places(request, user, patient, again, now=now, status=409)
        else:
            messages.success(request, "Where this person is seen was changed.", extra_tags="ok")
            return redirect("patient", patient.pk)
    return _places(request, user, patient, form, status=422)


def _site(request: HttpRequest, page: SitePage, *, status: int = 200) -> HttpResponse:
    return render(request, "sites/site.html", {"page": page}, status=status)


def _places(
    request: HttpRequest, user: User, patient: object, form: PlacesForm, *, now: str = "", status: int = 200
) -> HttpResponse:
    context = {"patient": patient, "form": form, "now": now}
    return render(request, "sites/patient_sites.html", context, status=status)
