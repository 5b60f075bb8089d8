"""Start a visit, and see at a glance what it holds and what is missing."""

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from charting.audit.services import record_look
from charting.patients.queries import open_patient
from charting.staff.models import User
from charting.staff.queries import clinicians_beside
from charting.staff.requests import staff
from charting.staff.rights import may
from charting.visits import services
from charting.visits.forms import StartForm
from charting.visits.queries import may_write, open_visit


@require_POST
def start(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    patient = open_patient(staff(request), patient_id)
    form = StartForm(request.POST)
    if not form.is_valid():
        return redirect("patient", patient.pk)
    clinician = _clinician(staff(request), form.cleaned_data["clinician"])
    visit = services.start(
        who=staff(request), patient=patient, clinician=clinician, id=form.cleaned_data["id"]
    )
    return (
        redirect("visit", visit.pk) if may(staff(request), "open chart") else redirect("patient", patient.pk)
    )


@require_GET
def visit(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    found = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=found, as_="opened visit")
    context = {"visit": found, "may_write": may_write(staff(request), found)}
    return render(request, "visits/visit.html", context)


def _clinician(user: User, chosen: int | None) -> User:
    """The colleague chosen, or oneself. Raises Http404 for anybody who does not treat here."""
    if chosen is None:
        return user
    for each in clinicians_beside(user):
        if each.pk == chosen:
            return each
    raise Http404("no such clinician")
