"""Scores of a visit."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.outcomes import forms, pages, services
from charting.outcomes.forms import Typed
from charting.outcomes.pages import Known, OutcomesPage
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def outcomes(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    known = pages.known_of(visit)
    if request.method == "POST":
        return _save(request, visit, known, forms.read(request.POST, known.carried).checked())
    record_look(who=staff(request), at=visit, as_="opened outcomes")
    return _render(request, visit, pages.outcomes_page(visit, staff(request), known))


def _save(request: HttpRequest, visit: Visit, known: Known, typed: Typed) -> HttpResponse:
    if typed.problems:
        page = pages.page_with(visit, staff(request), known, typed)
        return _render(request, visit, page, status=422)
    try:
        services.save_page(who=staff(request), visit=visit, given=typed.scores())
    except Stale:
        return _clash(request, visit, typed)
    messages.success(request, "The scores are saved.", extra_tags="ok")
    return redirect("outcomes", visit.pk)


def _clash(request: HttpRequest, visit: Visit, typed: Typed) -> HttpResponse:
    known = pages.known_of(visit)
    clashes = pages.clashes_of(typed, known.rows)
    again = forms.after_clash(typed, known.rows)
    page = pages.page_with(visit, staff(request), known, again, clashes=clashes)
    return _render(request, visit, page, status=409)


def _render(request: HttpRequest, visit: Visit, page: OutcomesPage, *, status: int = 200) -> HttpResponse:
    return render(request, "outcomes/outcomes.html", {"visit": visit, "page": page}, status=status)
