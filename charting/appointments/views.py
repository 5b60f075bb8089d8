"""Make an appointment, move or change it, say that the person is here, begin the visit, cancel, miss."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from charting.appointments import pages, services
from charting.appointments.forms import AppointmentForm, EndForm, MissedForm, StandsForm
from charting.appointments.models import Appointment
from charting.appointments.queries import appointment_of
from charting.appointments.services import NotKept, Taken
from charting.appointments.times import day_typed
from charting.audit.services import record_look
from charting.episodes.services import AskWhich, NotDone
from charting.patients.forms import SearchForm
from charting.patients.models import Patient
from charting.patients.queries import open_patient
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import may, require
from charting.versioning import Stale
from charting.visits.forms import ComplaintForm
from charting.visits.pages import which_page
from charting.visits.services import NOTHING_SAID

MEANWHILE = "Somebody changed this appointment meanwhile: look at it once more."


@require_http_methods(["GET", "POST"])
def who(request: HttpRequest) -> HttpResponse:
    """Whom it is for, coming from the day list. What to look for is posted: no name is ever in an address."""
    require(staff(request), "register")
    form = SearchForm(request.POST)
    text = form.cleaned_data["q"] if request.method == "POST" and form.is_valid() else ""
    page = pages.who_page(staff(request), day_typed(request.GET.get("day", "")), text)
    return render(request, "appointments/who.html", {"page": page})


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    require(user, "register")
    patient = open_patient(user, patient_id)
    if request.method == "POST":
        return _make(request, patient)
    record_look(who=user, at=patient, as_="opened new appointment")
    day = day_typed(request.GET.get("day", ""))
    back = "day" if "back" in request.GET else ""
    form = _form(user, patient, initial={**AppointmentForm.usual(user, day), "back": back})
    return _new(request, pages.new_page(user, patient, form, day))


def _make(request: HttpRequest, patient: Patient) -> HttpResponse:
    user = staff(request)
    form = _form(user, patient, request.POST)
    taken: tuple[Appointment, ...] = ()
    if form.is_valid():
        try:
            made = services.make(
                who=user,
                patient=patient,
                id=form.cleaned_data["id"] or uuid.uuid4(),
                all_the_same="all_the_same" in request.POST,
                **form.said(),
            )
        except NotKept as problem:
            form.add_error(None, str(problem))
        except Taken as problem:
            taken = problem.appointments
        else:
            messages.success(request, _expected(made), extra_tags="ok")
            return _back(form, made)
    page = pages.new_page(user, patient, form, form.cleaned_data.get("day"), taken=taken)
    return _new(request, page, status=422)


@require_http_methods(["GET", "POST"])
def appointment(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    """One appointment: what is to be changed about it, and how it ends without a visit."""
    user = staff(request)
    row = appointment_of(user, appointment_id)
    if request.method == "POST":
        return _change(request, row)
    record_look(who=user, at=row.patient, as_="opened appointment")
    return _one(
        request, pages.one_page(user, row, _form(user, row.patient, initial=AppointmentForm.values_of(row)))
    )


def _change(request: HttpRequest, row: Appointment) -> HttpResponse:
    user = staff(request)
    require(user, "register")
    form = _form(user, row.patient, request.POST, was=row.starts_at)
    more: dict[str, Any] = {}
    status = 422
    if form.is_valid():
        said = {"version": form.cleaned_data["version"] or 0, **form.said()}
        try:
            made = services.change(
                who=user, appointment=row, all_the_same="all_the_same" in request.POST, **said
            )
        except NotKept as problem:
            form.add_error(None, str(problem))
        except Taken as problem:
            more["taken"] = problem.appointments
        except Stale:
            row, status = appointment_of(user, row.pk), 409
            more["clashes"] = pages.clashes_of(form, row)
            form = _form(
                user, row.patient, {**request.POST.dict(), "version": row.version}, was=row.starts_at
            )
            form.full_clean()
        else:
            messages.success(request, _expected(made), extra_tags="ok")
            return redirect(day_address(made))
    page = pages.one_page(user, row, form, day=form.cleaned_data.get("day"), **more)
    return _one(request, page, status=status)


@require_POST
def here(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    """The person is here; `not` in what was sent takes it back."""
    row = appointment_of(staff(request), appointment_id)
    act = services.not_here if "not" in request.POST else services.arrive
    return _act(request, row, StandsForm(request.POST), act, "")


@require_POST
def cancel(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    row = appointment_of(staff(request), appointment_id)
    form = EndForm(request.POST, prefix="cancel")
    return _act(
        request, row, form, services.cancel, "The appointment is cancelled; the contact log says why."
    )


@require_POST
def missed(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    row = appointment_of(staff(request), appointment_id)
    form = MissedForm(request.POST, prefix="missed")
    return _act(request, row, form, services.miss, "Marked as missed; the contact log says so.")


@require_http_methods(["GET", "POST"])
def begin(request: HttpRequest, appointment_id: uuid.UUID) -> HttpResponse:
    """Begin the visit. Where everything is discharged, GET asks which complaint it is about."""
    user = staff(request)
    row = appointment_of(user, appointment_id)
    require(user, "register")
    if request.method == "GET":
        require(user, "treat")
        record_look(who=user, at=row.patient, as_="opened start of visit")
        return _which(request, row, ComplaintForm(initial={"id": uuid.uuid4()}, patient=row.patient))
    form = ComplaintForm(request.POST, patient=row.patient)
    # The button of the day list says nothing about it; the page that asks says it whole.
    asked = "which" in request.POST or "asked" in request.POST
    if not form.is_valid() and (asked or "id" in form.errors):
        return _which(request, row, form, status=422)
    about = form.about() if asked else NOTHING_SAID
    try:
        visit = services.begin(who=user, appointment=row, id=form.cleaned_data["id"], about=about)
    except AskWhich:
        return redirect("appointment-begin", row.pk)
    except NotDone as problem:
        form.add_error(None, str(problem))
        return _which(request, row, form, status=422)
    except NotKept as problem:
        messages.warning(request, str(problem), extra_tags="warn")
        return redirect(day_address(row))
    return redirect("visit", visit.pk) if may(user, "open chart") else redirect(day_address(row))


def day_address(row: Appointment) -> str:
    """The day list of its day."""
    day = row.starts_at.astimezone(row.patient.practice.zone).date()
    today = timezone.localdate(timezone=row.patient.practice.zone)
    return reverse("today") + (f"?day={day}" if day != today else "")


def _act(
    request: HttpRequest, row: Appointment, form: StandsForm, act: Callable[..., Appointment], done: str
) -> HttpResponse:
    """One button about an appointment that stands; back to the list of its day."""
    user = staff(request)
    require(user, "register" if form.prefix is None else "log contacts")
    if not form.is_valid():
        return _one(request, _again(user, row, form), status=422)
    try:
        act(who=user, appointment=row, **form.cleaned_data)
    except Stale:
        messages.warning(request, MEANWHILE, extra_tags="warn")
        return redirect("appointment", row.pk)
    except NotKept as problem:
        form.add_error(None, str(problem))
        return _one(request, _again(user, row, form), status=422)
    if done:
        messages.success(request, done, extra_tags="ok")
    return redirect(day_address(row))


def _again(user: User, row: Appointment, sent: StandsForm) -> pages.AppointmentPage:
    form = _form(user, row.patient, initial=AppointmentForm.values_of(row))
    mine = {sent.prefix: sent} if sent.prefix else {"stands": sent}
    return pages.one_page(user, row, form, **mine)


def _form(user: User, patient: Patient, data: Any = None, **more: Any) -> AppointmentForm:
    return AppointmentForm(data, user=user, zone=patient.practice.zone, **more)


def _expected(row: Appointment) -> str:
    there = row.starts_at.astimezone(row.patient.practice.zone)
    when = f"{there:%A}, {there.day} {there:%B} at {there:%H:%M}"
    return f"{row.patient} is expected on {when} with {row.clinician}."


def _back(form: AppointmentForm, row: Appointment) -> HttpResponse:
    from_list = form.cleaned_data["back"] == "day"
    return redirect(day_address(row)) if from_list else redirect("patient", row.patient_id)


def _which(request: HttpRequest, row: Appointment, form: ComplaintForm, *, status: int = 200) -> HttpResponse:
    page = which_page(row.patient, form, reverse("appointment-begin", args=[row.pk]))
    return render(request, "visits/which.html", {"page": page, "patient": row.patient}, status=status)


def _new(request: HttpRequest, page: pages.AppointmentPage, *, status: int = 200) -> HttpResponse:
    return _shown(request, "appointments/new.html", page, status)


def _one(request: HttpRequest, page: pages.AppointmentPage, *, status: int = 200) -> HttpResponse:
    return _shown(request, "appointments/appointment.html", page, status)


def _shown(request: HttpRequest, template: str, page: pages.AppointmentPage, status: int) -> HttpResponse:
    return render(request, template, {"page": page, "patient": page.patient}, status=status)
