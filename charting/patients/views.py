"""Find a person, register one, change what is on record, open the page of one."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.patients import pages, services
from charting.patients.forms import NewPatientForm, PatientForm, SearchForm
from charting.patients.models import Patient
from charting.patients.pages import PatientFormPage
from charting.patients.queries import open_patient
from charting.patients.seen_at import own_sites, sites_offered
from charting.staff.requests import staff
from charting.staff.rights import may, require
from charting.versioning import Stale

# The last search, kept with the session: Back shows it again, and no name is ever in an address.
LAST_SEARCH = "patient_search"


@require_http_methods(["GET", "POST"])
def patients(request: HttpRequest) -> HttpResponse:
    """The search. POST takes what to look for; htmx gets the list alone, a plain form the page."""
    if request.method == "POST":
        form = SearchForm(request.POST)
        request.session[LAST_SEARCH] = form.cleaned_data["q"] if form.is_valid() else ""
        if not request.headers.get("HX-Request"):
            return redirect("patients")
    page = pages.patients_page(staff(request), request.session.get(LAST_SEARCH, ""))
    piece = request.method == "POST"
    return render(request, "patients/_results.html" if piece else "patients/patients.html", {"page": page})


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    user = staff(request)
    require(user, "register")
    offered = sites_offered(user)
    where = {"sites": offered, "own": own_sites(user) if offered else ()}
    if request.method == "GET":
        draft = draft_of(user, services.NEW_DRAFT)
        typed = typed_into(NewPatientForm(**where), draft)
        # An id of its own for every page: that of a draft may have been used meanwhile.
        form = NewPatientForm(initial={**typed, "id": uuid.uuid4()}, **where)
        return _new(request, PatientFormPage(form, services.NEW_DRAFT, draft))
    form = NewPatientForm(request.POST, **where)
    if not form.is_valid():
        return _new(request, PatientFormPage(form, services.NEW_DRAFT), status=422)
    try:
        patient = services.register(
            who=user,
            id=form.cleaned_data["id"],
            all_the_same="all_the_same" in request.POST,
            sites=form.where(),
            **form.about(),
        )
    except services.PerhapsKnown as problem:
        return _new(request, PatientFormPage(form, services.NEW_DRAFT, known=problem.patients), status=422)
    return redirect("patient", patient.pk)


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    patient = open_patient(staff(request), patient_id)
    key = services.draft_key(patient)
    if request.method == "GET":
        record_look(who=staff(request), at=patient, as_="opened patient")
        draft = draft_of(staff(request), key)
        values = {**PatientForm.values_of(patient), **typed_into(PatientForm(), draft)}
        return _edit(request, PatientFormPage(PatientForm(initial=values), key, draft, patient))
    form = PatientForm(request.POST)
    if not form.is_valid():
        return _edit(request, PatientFormPage(form, key, patient=patient), status=422)
    try:
        version = form.cleaned_data["version"] or 0
        services.change(who=staff(request), patient=patient, version=version, **form.about())
    except Stale:
        return _edit(request, _again(form, key, open_patient(staff(request), patient_id)), status=409)
    messages.success(request, "What is on record was changed.", extra_tags="ok")
    return redirect("patient", patient.pk)


@require_GET
def patient(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    person = open_patient(staff(request), patient_id)
    record_look(who=staff(request), at=person, as_="opened patient")
    opens = may(staff(request), "open chart")
    return render(request, "patients/patient.html", {"patient": person, "opens": opens})


def _again(form: PatientForm, key: str, current: Patient) -> PatientFormPage:
    """The same words with the version that stands now: saving them again is then a decision."""
    retry = PatientForm(initial={**form.about(), "version": current.version})
    return PatientFormPage(retry, key, patient=current, clashes=pages.clashes_of(form, current))


def _new(request: HttpRequest, page: PatientFormPage, *, status: int = 200) -> HttpResponse:
    return render(request, "patients/new.html", {"page": page}, status=status)


def _edit(request: HttpRequest, page: PatientFormPage, *, status: int = 200) -> HttpResponse:
    return render(request, "patients/edit.html", {"page": page, "patient": page.patient}, status=status)
