"""The assessment: the page of a visit, one form for each area, and what was written about areas now gone."""

import uuid
from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from charting.assessment import forms, pages, services
from charting.assessment.forms import Typed
from charting.assessment.models import Conclusion
from charting.assessment.pages import Clashes, Read
from charting.assessment.writing import Asked, apply
from charting.assessment.written import Written
from charting.audit.services import record_look
from charting.drafts.services import keep
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit
from charting.visits.services import VisitSigned

MEANWHILE = "This changed since the page was opened. Read it again, then choose."

SIGNED = "This visit was signed meanwhile. Your words are kept below; an addendum to the note can hold them."
GONE = "This area is gone meanwhile. What you wrote is kept below."


@require_http_methods(["GET", "POST"])
def assessment(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "POST":
        require(staff(request), "treat")
        return _save(request, visit)
    record_look(who=staff(request), at=visit, as_="opened assessment")
    return _page(request, pages.read_visit(visit))


@require_POST
def gone(request: HttpRequest, visit_id: uuid.UUID, row_id: int) -> HttpResponse:
    """What becomes of words about an area that is gone: left out, put back, or moved to another area."""
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    row = get_object_or_404(Conclusion, pk=row_id, visit=visit)
    version = request.POST.get("version", "")
    try:
        _settle(request, visit, row, int(version) if version.isdecimal() else 0)
    except Stale:
        messages.warning(request, MEANWHILE, extra_tags="warn")
    return redirect("assessment", visit.pk)


def _settle(request: HttpRequest, visit: Visit, row: Conclusion, version: int) -> None:
    sent, who = request.POST, staff(request)
    if "move" in sent:
        areas = pages.read_visit(visit).found.areas
        stroke = sent.get("to", "")
        services.move(who=who, visit=visit, row=row, version=version, areas=areas, stroke=stroke)
        messages.success(request, "Moved. Nothing was lost on the way.", extra_tags="ok")
    else:
        services.leave_out(who=who, visit=visit, row=row, version=version, out="leave_out" in sent)


def _save(request: HttpRequest, visit: Visit) -> HttpResponse:
    known, typed = pages.read_visit(visit), forms.read(request.POST)
    number = known.number_of(typed.stroke)
    before = known.before(typed.stroke)
    typed = replace(typed, problems=forms.problems_in(typed, known.found.atlas, before))
    if typed.problems:
        return _page(request, known, sent=typed, status=422)
    said = _said(known, number or 0, before, typed)
    try:
        services.conclude(
            who=staff(request),
            visit=visit,
            areas=known.found.areas,
            stroke=typed.stroke,
            where=typed.where,
            version=typed.version,
            said=said,
        )
    except VisitSigned:
        return _too_late(request, visit, typed)
    except Stale:
        if _is_on_record(known, number or 0, before, typed):
            return redirect(_address(visit, number))
        again = pages.read_visit(visit)
        clashes = pages.clashes_of(again.before(typed.stroke), said)
        return _page(request, again, sent=typed, clashes=clashes, status=409)
    if number is None:
        messages.warning(
            request, "This area is gone meanwhile. What you wrote is kept below.", extra_tags="warn"
        )
    else:
        messages.success(request, "The assessment is saved.", extra_tags="ok")
    return redirect(_address(visit, number))


def _is_on_record(known: Read, number: int, before: Written, typed: Typed) -> bool:
    """Whether this was saved just so already: a second tap."""
    is_there = not typed.own or any(each.text == typed.own for each in before.sentences)
    return is_there and _said(known, number, before, replace(typed, own="")) == before


def _address(visit: Visit, number: int | None) -> str:
    return f"{reverse('assessment', args=[visit.pk])}#area-{number or 0}"


def _too_late(request: HttpRequest, visit: Visit, typed: Typed) -> HttpResponse:
    """Somebody signed while this was written: the words are kept and shown."""
    sent = {name: values for name, values in request.POST.lists() if name != "csrfmiddlewaretoken"}
    keep(who=staff(request), key=services.draft_key(visit, typed.stroke), data=sent)
    messages.warning(request, SIGNED, extra_tags="warn")
    return redirect("assessment", visit.pk)


def _said(known: Read, number: int, before: Written, typed: Typed) -> Written:
    """Sources first: what is said about those that were just named can be taken at once."""
    asked = typed.asked(known.found.atlas, before, ())
    named = apply(before, Asked(certainty=asked.certainty, names=asked.names), {})
    made = known.assembled(number, named)
    return apply(before, typed.asked(known.found.atlas, before, made.offered), made.by_key)


def _page(
    request: HttpRequest, known: Read, *, sent: Typed | None = None, clashes: Clashes = (), status: int = 200
) -> HttpResponse:
    page = pages.assessment_page(known, staff(request), sent=sent, clashes=clashes)
    context = {"page": page, "visit": known.visit, "danger": known.found.flags}
    return render(request, "assessment/assessment.html", context, status=status)
