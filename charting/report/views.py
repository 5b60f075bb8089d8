"""Sheets to draw on: one for whoever comes, and one for a visit."""

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from charting.audit.services import record_look
from charting.report import pdf
from charting.report.blank import BlankSheet, blank_sheet
from charting.report.forms import PaperForm
from charting.staff.models import Paper
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.queries import visit_to_hand_over


@require_GET
def blank(request: HttpRequest) -> HttpResponse:
    """Without a person: printed beforehand, for the day when nothing works."""
    user = staff(request)
    require(user, "register")
    return _printed(request, blank_sheet(user.practice), "drawing-sheet")


@require_GET
def of_visit(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """For one open visit, also for who hands devices over and reads no charts."""
    visit = visit_to_hand_over(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="printed drawing sheet")
    sheet = blank_sheet(visit.patient.practice, visit)
    return _printed(request, sheet, f"drawing-sheet-{visit.patient.record_number}")


def _printed(request: HttpRequest, sheet: BlankSheet, name: str) -> HttpResponse:
    form = PaperForm(request.GET)
    if not form.is_valid():
        raise Http404("no such paper")
    size = form.cleaned_data["paper"] or (sheet.practice.paper if sheet.practice else Paper.A4)
    response = HttpResponse(pdf.render_blank(sheet, paper=size), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
