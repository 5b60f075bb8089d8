"""Adverse events of a person: fetch, parse, act, render."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.treatment import adverse_pages as pages
from charting.treatment import adverse_services as services
from charting.treatment.adverse_forms import EventForm, FurtherForm
from charting.treatment.adverse_queries import Listed, choices_of, event_of
from charting.treatment.adverse_services import NotKept


@require_http_methods(["GET", "POST"])
def reactions(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user, patient = staff(request), _patient(request, patient_id)
    choices = choices_of(patient)
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened adverse events")
        draft = draft_of(user, services.draft_key(patient))
        usual = EventForm.usual(patient)
        typed = typed_into(EventForm(patient=patient, choices=choices), draft)
        form = EventForm(initial={**usual, **typed, "id": usual["id"]}, patient=patient, choices=choices)
        return _events(request, pages.events_page(user, patient, form, draft))
    require(user, "treat")
    form = EventForm(request.POST, patient=patient, choices=choices)
    if form.is_valid() and _kept(form, lambda: _record(request, patient, form)):
        messages.success(request, "It is recorded.", extra_tags="ok")
        return redirect("reactions", patient.pk)
    return _events(request, pages.events_page(user, patient, form), status=422)


@require_http_methods(["GET", "POST"])
def correct(request: HttpRequest, patient_id: uuid.UUID, event_id: uuid.UUID) -> HttpResponse:
    patient = _patient(request, patient_id)
    choices, found = choices_of(patient), event_of(patient, event_id)

    def form(*args: Any, **more: Any) -> EventForm:
        return EventForm(*args, patient=patient, choices=choices, **more)

    def act(sent: EventForm) -> None:
        id_, said = sent.said()
        services.correct_event(who=staff(request), event=found.event, id=id_, said=said)

    return _further(request, patient, found, "correct", form, EventForm.correcting(found.event, choices), act)


@require_http_methods(["GET", "POST"])
def follow_up(request: HttpRequest, patient_id: uuid.UUID, event_id: uuid.UUID) -> HttpResponse:
    patient = _patient(request, patient_id)
    found = event_of(patient, event_id)

    def form(*args: Any, **more: Any) -> FurtherForm:
        return FurtherForm(*args, patient=patient, **more)

    def act(sent: FurtherForm) -> None:
        services.follow_up(who=staff(request), event=found.event, **sent.cleaned_data)

    return _further(request, patient, found, "follow-up", form, {}, act)


def _further(
    request: HttpRequest,
    patient: Patient,
    found: Listed,
    verb: str,
    form: Callable[..., Any],
    usual: dict[str, Any],
    act: Callable[[Any], None],
) -> HttpResponse:
    user = staff(request)
    require(user, "treat")
    key, line = services.further_draft_key(found.event, verb), pages.line_of(found)
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened adverse events")
        draft = draft_of(user, key)
        typed = {name: value for name, value in typed_into(form(), draft).items() if name != "id"}
        shown = form(initial={**usual, **typed})
        return _about(request, pages.FurtherPage(patient, line, verb, shown, key, draft))
    sent = form(request.POST)
    if sent.is_valid() and _kept(sent, lambda: act(sent)):
        messages.success(request, "It is recorded.", extra_tags="ok")
        return redirect("reactions", patient.pk)
    return _about(request, pages.FurtherPage(patient, line, verb, sent, key, None), status=422)


def _patient(request: HttpRequest, patient_id: uuid.UUID) -> Patient:
    return get_object_or_404(charts_of(staff(request)).select_related("practice"), pk=patient_id)


def _record(request: HttpRequest, patient: Patient, form: EventForm) -> None:
    id_, said = form.said()
    services.record_event(who=staff(request), patient=patient, id=id_, said=said)


def _kept(form: Any, act: Callable[[], Any]) -> bool:
    """Whether it was kept; what was said against it stands above the form otherwise."""
    try:
        act()
    except NotKept as problem:
        form.add_error(None, str(problem))
        return False
    return True


def _events(request: HttpRequest, page: pages.EventsPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.patient}
    return render(request, "treatment/reactions.html", context, status=status)


def _about(request: HttpRequest, page: pages.FurtherPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.patient}
    return render(request, "treatment/reaction.html", context, status=status)
