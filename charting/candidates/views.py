"""The ranked page, and the piece that lays a picked pattern over the drawing."""

import uuid

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from charting.audit.services import record_look
from charting.candidates import pages
from charting.history.queries import is_complete
from charting.staff.requests import staff
from charting.visits.queries import open_visit


@require_GET
def what_to_examine(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """Once signed, the ranking is the one that was signed: it stands on the page of the note."""
    visit = open_visit(staff(request), visit_id)
    if visit.is_signed:
        return redirect("note", visit.pk)
    every, whole = "all" in request.GET, "legs" in request.GET
    if _asks_for_the_piece(request) and is_complete(visit):
        return render(
            request,
            "candidates/_picked.html",
            {
                "picked": pages.picked_over(visit, _pick(request), whole, _area(request)),
                "keeps": pages.keeps(_area(request), every, whole, _order(request)),
                "visit": visit,
            },
        )
    record_look(who=staff(request), at=visit, as_="opened ranking")
    page = pages.what_to_examine(
        visit, pick=_pick(request), everything=every, area=_area(request), order=_order(request)
    )
    context = {"page": page, "visit": visit, "danger": page.danger}
    return render(request, "candidates/what_to_examine.html", context)


def _asks_for_the_piece(request: HttpRequest) -> bool:
    """A click on a line does; going back in the browser's history wants the whole page."""
    headers = request.headers
    return "HX-Request" in headers and "HX-History-Restore-Request" not in headers


def _pick(request: HttpRequest) -> str:
    return request.GET.get("pick", "")


def _order(request: HttpRequest) -> str:
    """The order that is asked for; that of the geometry for any word it does not know."""
    return pages.WITH_EVIDENCE if request.GET.get("order") == pages.WITH_EVIDENCE else pages.BY_PLACE


def _area(request: HttpRequest) -> int:
    """The number of the area to rank alone; 0, the whole, for none and for what is no number."""
    text = request.GET.get("area", "")
    return int(text) if text.isdecimal() and len(text) < 4 else 0
