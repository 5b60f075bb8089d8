"""Requests of a person to amend the own record: fetch, parse, act, render."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.notes import amendments_pages as pages
from charting.notes import amendments_services as services
from charting.notes.amendments_forms import RequestForm, StepForm
from charting.notes.amendments_queries import request_of, signed_visits_of
from charting.notes.amendments_services import NotKept
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.requests import staff
from charting.staff.rights import require


@require_http_methods(["GET", "POST"])
def requests(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user, patient = staff(request), _patient(request, patient_id)
    require(user, services.RIGHT)
    about: dict[str, Any] = {"patient": patient, "visits": tuple(signed_visits_of(patient))}
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened requests for amendment")
        draft = draft_of(user, services.draft_key(patient))
        usual, typed = RequestForm.usual(patient), typed_into(RequestForm(**about), draft)
        form = RequestForm(initial={**usual, **typed, "id": usual["id"]}, **about)
        return _all(request, pages.requests_page(patient, form, draft))
    form = RequestForm(request.POST, **about)
    if form.is_valid() and _kept(
        form, lambda: services.record_request(who=user, patient=patient, **form.said())
    ):
        messages.success(request, "The request is recorded.", extra_tags="ok")
        return redirect("amendments", patient.pk)
    return _all(request, pages.requests_page(patient, form), status=422)


@require_http_methods(["GET", "POST"])
def one(request: HttpRequest, patient_id: uuid.UUID, request_id: uuid.UUID) -> HttpResponse:
    user, patient = staff(request), _patient(request, patient_id)
    require(user, services.RIGHT)
    asked = request_of(patient, request_id)
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened requests for amendment")
        draft = draft_of(user, services.step_draft_key(asked.row))
        typed = typed_into(StepForm(asked=asked), draft)
        form = StepForm(initial={**StepForm.usual(patient), **typed}, asked=asked)
        return _one(request, pages.request_page(asked, form, draft))
    form = StepForm(request.POST, asked=asked)
    if form.is_valid() and _kept(
        form, lambda: services.take_step(who=user, request=asked.row, **form.cleaned_data)
    ):
        messages.success(request, "It is recorded.", extra_tags="ok")
        return redirect("amendment", patient.pk, asked.row.pk)
    return _one(request, pages.request_page(request_of(patient, request_id), form), status=422)


def _patient(request: HttpRequest, patient_id: uuid.UUID) -> Patient:
    return get_object_or_404(charts_of(staff(request)).select_related("practice"), pk=patient_id)


def _kept(form: forms.Form, act: Callable[[], Any]) -> bool:
    """Whether it was kept; what was said against it stands beside its box otherwise."""
    try:
        act()
    except NotKept as problem:
        form.add_error(problem.field if problem.field in form.fields else None, str(problem))
        return False
    return True


def _all(request: HttpRequest, page: pages.RequestsPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.patient}
    return render(request, "notes/requests.html", context, status=status)


def _one(request: HttpRequest, page: pages.RequestPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.patient}
    return render(request, "notes/request.html", context, status=status)
