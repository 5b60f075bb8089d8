"""Start a visit, say what it is about, and see at a glance what it holds and what is missing."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from charting.audit.services import record_look
from charting.episodes.services import AskWhich, NotDone
from charting.patients.models import Patient
from charting.patients.queries import open_patient
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.requests import staff
from charting.staff.rights import may, require
from charting.visits import services
from charting.visits.forms import ComplaintForm, StartForm, called
from charting.visits.pages import WhichPage, which_page
from charting.visits.queries import may_write, open_visit
from charting.visits.services import NOTHING_SAID


@require_http_methods(["GET", "POST"])
def start(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    """Start a visit. GET asks first which complaint it is about."""
    user = staff(request)
    patient = open_patient(user, patient_id)
    if request.method == "GET":
        require(user, "treat")
        record_look(who=user, at=patient, as_="opened start of visit")
        return _which(request, _page(patient, ComplaintForm(initial={"id": uuid.uuid4()}, patient=patient)))
    form = StartForm(request.POST)
    if not form.is_valid():
        return redirect("patient", patient.pk)
    clinician = _clinician(user, form.cleaned_data["clinician"])
    # The plain button says nothing about it; the page that asks says it whole.
    complaint = ComplaintForm(request.POST, patient=patient) if "asked" in request.POST else None
    if complaint and not complaint.is_valid():
        return _which(request, _page(patient, complaint), status=422)
    about = complaint.about() if complaint else NOTHING_SAID
    new = form.cleaned_data["id"]
    try:
        visit = services.start(who=user, patient=patient, clinician=clinician, id=new, about=about)
    except AskWhich:
        return redirect("visit-start", patient.pk)
    except NotDone as problem:
        complaint = complaint or ComplaintForm(request.POST, patient=patient)
        complaint.add_error(None, str(problem))
        return _which(request, _page(patient, complaint), status=422)
    return redirect("visit", visit.pk) if may(user, "open chart") else redirect("patient", patient.pk)


@require_GET
def visit(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    found = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=found, as_="opened visit")
    complaint = called(found.episode, found.patient) if found.episode else ""
    context = {"visit": found, "may_write": may_write(staff(request), found), "complaint": complaint}
    return render(request, "visits/visit.html", context)


@require_http_methods(["GET", "POST"])
def complaint(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """What an open visit is about, when it was begun for another complaint."""
    user = staff(request)
    found = open_visit(user, visit_id)
    require(user, "treat")
    if request.method == "GET":
        record_look(who=user, at=found, as_="opened complaint of visit")
        form = ComplaintForm(initial={"which": str(found.episode_id)}, patient=found.patient)
        return _which(request, _page(found.patient, form, found))
    form = ComplaintForm(request.POST, patient=found.patient)
    if not form.is_valid():
        return _which(request, _page(found.patient, form, found), status=422)
    try:
        services.put_into(who=user, visit=found, about=form.about())
    except NotDone as problem:
        form.add_error(None, str(problem))
        return _which(request, _page(found.patient, form, found), status=422)
    messages.success(request, "What the visit is about was changed.", extra_tags="ok")
    return redirect("visit", found.pk)


def _page(patient: Patient, form: ComplaintForm, visit: services.Visit | None = None) -> WhichPage:
    action = (
        reverse("visit-complaint", args=[visit.pk]) if visit else reverse("visit-start", args=[patient.pk])
    )
    return which_page(patient, form, action, visit)


def _which(request: HttpRequest, page: WhichPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.patient}
    return render(request, "visits/which.html", context, status=status)


def _clinician(user: User, chosen: int | None) -> User:
    """The colleague chosen, or oneself. Raises Http404 for anybody who does not treat here."""
    if chosen is None:
        return user
    for each in clinicians_beside(user):
        if each.pk == chosen:
            return each
    raise Http404("no such clinician")
