"""The codes of a visit: search, choose, order, take over from the last visit."""

import uuid
from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from charting.audit.services import record_look
from charting.coding import pages, search, services
from charting.coding.refusals import Refusal
from charting.staff.requests import staff
from charting.visits.models import Visit
from charting.visits.queries import may_write, open_visit


@require_GET
def codes(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The page; for htmx what was found alone."""
    visit = open_visit(staff(request), visit_id)
    asked = request.GET.get("q", "")[: search.LONGEST_ASKED]
    if "HX-Request" in request.headers and "HX-History-Restore-Request" not in request.headers:
        found = search.find(asked) if may_write(staff(request), visit) else search.Found()
        said = {"visit": visit, "found": found, "asked": asked, "is_piece": True}
        return render(request, "coding/_found.html", said)
    record_look(who=staff(request), at=visit, as_="opened codes")
    return _page(request, visit, asked=asked)


@require_POST
def choose(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    code, reason = request.POST.get("code", ""), request.POST.get("reason", "").strip()
    try:
        row = services.choose(who=staff(request), visit=visit, code=code, reason=reason)
    except Refusal as problem:
        asked = request.POST.get("q", "")[: search.LONGEST_ASKED]
        return _page(request, visit, asked=asked, refusal=problem, reason=reason, status=422)
    messages.success(request, f"{row.code} is chosen: {row.title}.", extra_tags="ok")
    return redirect("codes", visit.pk)


@require_POST
def remove(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    def act(visit: Visit) -> None:
        services.take_out(who=staff(request), visit=visit, code=request.POST.get("code", ""))

    return _changed(request, visit_id, act)


@require_POST
def move(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    code, to = request.POST.get("code", ""), request.POST.get("to", "")

    def act(visit: Visit) -> None:
        services.move(who=staff(request), visit=visit, code=code, to=to)

    return _changed(request, visit_id, act)


@require_POST
def carry(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    done = services.carry_over(who=staff(request), visit=visit)
    if done.taken:
        named = ", ".join(row.code for row in done.taken)
        messages.success(request, f"Taken over: {named}. Read them again.", extra_tags="ok")
    for problem in done.left:
        messages.warning(request, f"{problem.code} was not taken over. {problem}", extra_tags="warn")
    return redirect("codes", visit.pk)


def _changed(request: HttpRequest, visit_id: uuid.UUID, act: Callable[[Visit], None]) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    try:
        act(visit)
    except Refusal as problem:
        messages.warning(request, str(problem), extra_tags="warn")
    return redirect("codes", visit.pk)


def _page(
    request: HttpRequest,
    visit: Visit,
    *,
    asked: str = "",
    refusal: Refusal | None = None,
    reason: str = "",
    status: int = 200,
) -> HttpResponse:
    page = pages.codes_page(visit, staff(request), asked=asked, refusal=refusal, reason=reason)
    said = {"visit": visit, "page": page, "found": page.found, "asked": asked}
    return render(request, "coding/codes.html", said, status=status)
