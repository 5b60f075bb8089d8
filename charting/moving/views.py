"""This drawing belongs to somebody else: look at it, say whose it is and why, look again, move it."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.drawing.models import EnteredInError
from charting.drawing.queries import state_of_drawing
from charting.moving import pages, queries, services
from charting.moving.forms import MoveForm, ReasonForm
from charting.moving.pages import MovePage
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def move(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """GET shows the drawing and where it can go; ?back=<id> is about one that was moved here.

    POST with "find" looks for visits, without "sure" asks once more, with it moves.
    """
    user = staff(request)
    visit = open_visit(user, visit_id)
    require(user, "treat")
    back = _arrival(visit, request.GET.get("back", ""))
    if request.method == "GET":
        record_look(who=user, at=visit, as_="opened drawing to move")
        form = MoveForm(user=user, visit=visit, initial={"to": back.visit_id if back else ""})
        return _choose(request, visit, form, back)
    form = MoveForm(request.POST, user=user, visit=visit)
    if "find" in request.POST:
        return _choose(request, visit, MoveForm(user=user, visit=visit, initial=_typed(request)), back)
    if not form.is_valid():
        return _choose(request, visit, form, back, status=422)
    if "sure" not in request.POST:
        return _ask_once_more(request, visit, form, back)
    try:
        strike = services.move_drawing(who=user, visit=visit, only=back, **_chosen(form))
    except services.NotMoved as problem:
        form.add_error(None, str(problem))
        return _choose(request, visit, form, back, status=422)
    messages.success(request, _done(strike), extra_tags="ok")
    return redirect("drawing-step", visit.pk)


@require_http_methods(["GET", "POST"])
def struck(request: HttpRequest, visit_id: uuid.UUID, strike_id: uuid.UUID) -> HttpResponse:
    """A drawing that was struck and moved nowhere is looked at, and brought back."""
    user = staff(request)
    visit = open_visit(user, visit_id)
    require(user, "treat")
    strike = queries.struck_drawing(visit, strike_id)
    if request.method == "GET":
        record_look(who=user, at=visit, as_="opened struck drawing")
        return _struck(request, strike, ReasonForm())
    form = ReasonForm(request.POST)
    if form.is_valid():
        try:
            services.bring_back(who=user, strike=strike, **form.cleaned_data)
            return redirect("drawing-step", visit.pk)
        except services.NotMoved as problem:
            form.add_error(None, str(problem))
    return _struck(request, strike, form, status=422)


def _struck(
    request: HttpRequest, strike: EnteredInError, form: ReasonForm, *, status: int = 200
) -> HttpResponse:
    context = {"page": pages.struck_page(strike), "form": form, "visit": strike.visit}
    return render(request, "moving/struck.html", context, status=status)


def _arrival(visit: Visit, strike_id: str) -> EnteredInError | None:
    if not strike_id:
        return None
    try:
        return queries.arrival(visit, uuid.UUID(strike_id))
    except ValueError as problem:
        raise Http404("There is no such move.") from problem


def _typed(request: HttpRequest) -> dict[str, Any]:
    return {**request.POST.dict(), "layers": request.POST.getlist("layers")}


def _chosen(form: MoveForm) -> dict[str, Any]:
    return {name: form.cleaned_data[name] for name in ("to", "reason", "layers")}


def _choose(
    request: HttpRequest, visit: Visit, form: MoveForm, back: EnteredInError | None, *, status: int = 200
) -> HttpResponse:
    text, chosen = (str(form[name].value() or "") for name in ("q", "to"))
    page = pages.move_page(
        staff(request), visit, text=text, chosen=chosen, layers=form["layers"].value(), back=back
    )
    return _shown(request, visit, form, page, status)


def _ask_once_more(
    request: HttpRequest, visit: Visit, form: MoveForm, back: EnteredInError | None
) -> HttpResponse:
    chosen = str(form["to"].value())
    to = form.cleaned_data["to"]
    joins = to is not None and bool(state_of_drawing(to))
    page = pages.move_page(
        staff(request), visit, chosen=chosen, back=back, sure=True, joins=joins, **_chosen(form)
    )
    return _shown(request, visit, form, page, 200)


def _shown(request: HttpRequest, visit: Visit, form: MoveForm, page: MovePage, status: int) -> HttpResponse:
    name = "sure" if page.sure else "choose"
    return render(request, f"moving/{name}.html", {"page": page, "form": form, "visit": visit}, status=status)


def _done(strike: EnteredInError) -> str:
    # Nobody is named: this is the page of the person whose drawing it is not.
    moved = " and stands in the other one now" if strike.moved_to_id else ""
    return f"The drawing was struck from this chart{moved}."
