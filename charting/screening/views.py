"""The first neurological screen."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import draft_of
from charting.screening import pages, services
from charting.screening.forms import NeuroForm
from charting.screening.pages import Clashes
from charting.screening.queries import NeuroTable, state_in, table_of
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def neuro(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "POST":
        return _fill(request, visit) if "fill" in request.POST else _save(request, visit)
    record_look(who=staff(request), at=visit, as_="opened neuro screen")
    draft = draft_of(staff(request), services.draft_key(visit))
    table = table_of(visit)
    values = {**NeuroForm.values_of(table), "state": state_in(table), **typed_into(NeuroForm(), draft)}
    return _page(request, visit, table, values, draft=draft)


def _fill(request: HttpRequest, visit: Visit) -> HttpResponse:
    """The button "All normal" where no script runs: the page with normal grades chosen, nothing saved."""
    typed = typed_into(NeuroForm(), Draft(data=dict(request.POST.lists())))
    return _page(request, visit, table_of(visit), NeuroForm.with_normals(typed))


def _save(request: HttpRequest, visit: Visit) -> HttpResponse:
    form = NeuroForm(request.POST)
    if not form.is_valid():
        return _render(request, visit, table_of(visit), form, status=422)
    state = form.cleaned_data["state"]
    try:
        services.record_findings(who=staff(request), visit=visit, state=state, findings=form.findings())
    except Stale:
        current = table_of(visit)
        clashes = pages.clashes_of(form, current)
        values = {**form.cleaned_data, "state": state_in(current)}
        return _page(request, visit, current, values, status=409, clashes=clashes)
    messages.success(request, "The neuro screen is saved.", extra_tags="ok")
    return redirect("neuro-screen", visit.pk)


def _page(
    request: HttpRequest, visit: Visit, table: NeuroTable, values: dict[str, Any], **more: Any
) -> HttpResponse:
    return _render(request, visit, table, NeuroForm(initial=values), **more)


def _render(
    request: HttpRequest,
    visit: Visit,
    table: NeuroTable,
    form: NeuroForm,
    *,
    status: int = 200,
    draft: Draft | None = None,
    clashes: Clashes = (),
) -> HttpResponse:
    key = services.draft_key(visit)
    page = pages.neuro_page(visit, staff(request), table, form, key, draft=draft, clashes=clashes)
    return render(request, "screening/neuro.html", {"page": page, "visit": visit}, status=status)
