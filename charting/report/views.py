"""Papers to hand out: sheets to draw on, a sheet about one muscle, the copy of a consent."""

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from charting.atlas import queries as atlas_queries
from charting.audit.services import record_look
from charting.consent.queries import consent_of
from charting.patients.access import charts_of
from charting.report import pdf
from charting.report.blank import blank_sheet
from charting.report.consent_copy import copy_of
from charting.report.forms import PaperForm
from charting.report.home_sheet import home_sheet
from charting.report.models import IssuedPaper
from charting.report.muscle import muscle_sheet
from charting.report.services import About, issue
from charting.staff.models import Paper, Practice
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.queries import open_visit, visit_to_hand_over


@require_GET
def blank(request: HttpRequest) -> HttpResponse:
    """Without a person: printed beforehand, for the day when nothing works."""
    user = staff(request)
    require(user, "register")
    sheet, paper = blank_sheet(user.practice), _paper(request, user.practice)
    return _as_pdf(pdf.render_blank(sheet, paper=paper), "drawing-sheet")


@require_GET
def of_visit(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """For one open visit, also for who hands devices over and reads no charts."""
    visit = visit_to_hand_over(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="printed drawing sheet")
    practice = visit.patient.practice
    sheet, paper = blank_sheet(practice, visit), _paper(request, practice)
    return _as_pdf(pdf.render_blank(sheet, paper=paper), f"drawing-sheet-{visit.patient.record_number}")


@require_GET
def muscle(request: HttpRequest, name: str) -> HttpResponse:
    """A muscle of the practice's atlas, on the side asked for (`?side=left`)."""
    user = staff(request)
    known = atlas_queries.atlas_of(user)
    if name not in known.muscles:
        raise Http404("no such muscle")
    side = "left" if request.GET.get("side") == "left" else "right"
    sheet = muscle_sheet(user.practice, known, known.muscles[name], side)
    paper = _paper(request, user.practice)
    return _as_pdf(pdf.render_muscle(sheet, paper=paper), f"{name.replace('_', '-')}-{side}")


@require_GET
def consent_copy(request: HttpRequest, patient_id: uuid.UUID, consent_id: int) -> HttpResponse:
    """What somebody signed, to take home; with a withdrawal, where there is one."""
    charts = charts_of(staff(request)).select_related("practice")
    patient = get_object_or_404(charts, pk=patient_id)
    copy, paper = copy_of(patient, consent_of(patient, consent_id)), _paper(request, patient.practice)
    about = About(patient, IssuedPaper.Kind.CONSENT, "printed copy of consent")
    made = issue(who=staff(request), about=about, sheet=copy, paper=paper, render=pdf.render_consent)
    return _as_pdf(made, f"consent-{patient.record_number}-{consent_id}")


@require_GET
def home(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """What the patient does at home, to take along. Raises Http404 where nothing is written."""
    visit = open_visit(staff(request), visit_id)
    sheet = home_sheet(visit)
    if sheet.programme.is_empty:
        raise Http404("no home programme")
    about = About(visit.patient, IssuedPaper.Kind.HOME, "printed home programme", visit)
    paper = _paper(request, visit.patient.practice)
    made = issue(who=staff(request), about=about, sheet=sheet, paper=paper, render=pdf.render_home)
    return _as_pdf(made, f"home-programme-{visit.patient.record_number}")


def _paper(request: HttpRequest, practice: Practice | None) -> str:
    form = PaperForm(request.GET)
    if not form.is_valid():
        raise Http404("no such paper")
    return str(form.cleaned_data["paper"] or (practice.paper if practice else Paper.A4))


def _as_pdf(made: bytes, name: str) -> HttpResponse:
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
