"""Treatment of a visit."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from charting.audit.services import record_look
from charting.staff.requests import staff
from charting.visits.queries import open_visit


@require_GET
def treatment(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="opened treatment")
    return render(request, "treatment/treatment.html", {"visit": visit})
