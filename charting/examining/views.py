"""Muscles: the list of a visit, and one of it in the hand."""

import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from charting.atlas.queries import atlas_of
from charting.audit.services import record_look
from charting.candidates.queries import ranked
from charting.examination import services
from charting.examination.felt_limits import WrongFinding
from charting.examination.models import MuscleFinding
from charting.examination.queries import last_muscles, line_of, muscles_of
from charting.examination.services import ListFull, NotRemovable
from charting.examining import forms, pages
from charting.examining.forms import Sent
from charting.examining.lines import lines_of
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import may_write, open_visit

CHANGED = "Somebody changed the list meanwhile. Look at it, then say so again."


@require_GET
def muscles(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The page; for htmx what a name finds, or what stands beside the hand."""
    visit = open_visit(staff(request), visit_id)
    piece = request.GET.get("piece", "") if "HX-Request" in request.headers else ""
    if not piece:
        record_look(who=staff(request), at=visit, as_="opened muscle examination")
    if not may_write(staff(request), visit):
        if piece:
            return HttpResponse(status=204)
        page = pages.read_page(visit, muscles_of(visit), atlas_of(staff(request)))
        return render(request, "examining/record.html", {"visit": visit, "page": page})
    if piece == "found":
        sought, rows = request.GET.get("q", "")[:120], muscles_of(visit)
        ways = pages.found_only(sought, atlas_of(staff(request)), rows)
        return render(request, "examining/_found.html", {"visit": visit, "page": {"ways": ways}})
    return _page(request, visit, PIECES.get(piece, "examining/muscles.html"))


PIECES = {
    "beside": "examining/_beside.html",
    "next": "examining/_next.html",
}


@require_POST
def save(request: HttpRequest, visit_id: uuid.UUID, line_id: int) -> HttpResponse:
    """One muscle as it stands in the form: what can be kept is kept, the rest named."""
    visit = open_visit(staff(request), visit_id)
    row = line_of(visit, line_id)
    sent = forms.read(request.POST)
    try:
        row, wrong = _keep(request, visit, row, sent)
    except Stale:
        return _clash(request, visit, line_id, sent)
    if _wants_json(request):
        return _saved(request, visit, row, wrong)
    if wrong:
        return _again(request, visit, row, Sent(sent.version, {}, wrong, sent.values, ""), status=422)
    return redirect(_address(visit, _going(visit, row, sent.go)))


def _keep(
    request: HttpRequest, visit: Visit, row: MuscleFinding, sent: Sent
) -> tuple[MuscleFinding, Mapping[str, str]]:
    """Without the field that only the list can find wrong: the place of the muscle."""
    said: dict[str, Any] = {"who": staff(request), "visit": visit, "finding": row, "version": sent.version}
    known = atlas_of(staff(request))
    try:
        return services.record_muscle(**said, changes=sent.changes, known=known), sent.wrong
    except WrongFinding as problem:
        rest = {name: value for name, value in sent.changes.items() if name != problem.field}
        wrong = {**sent.wrong, problem.field: problem.words}
        return services.record_muscle(**said, changes=rest, known=known), wrong


def _saved(request: HttpRequest, visit: Visit, row: MuscleFinding, wrong: Mapping[str, str]) -> HttpResponse:
    """What changes beside the form: {"saved": version, "wrong": {field: words}, "pieces": {id: html}}."""
    lines = lines_of(muscles_of(visit), atlas_of(staff(request)), is_full=False)
    line = next(each for each in lines if each.id == row.pk)
    told = {"visit": visit, "lines": lines, "line": line, "page": {"lines": lines, "rest": _rest(lines)}}
    pieces = {
        f"verdict-{line.id}": render_to_string("examining/_verdict.html", told, request),
        "strip": render_to_string("examining/_strip.html", told, request),
        "list": render_to_string("examining/_list.html", told, request),
    }
    said = {"saved": row.version, "wrong": wrong, "mean": line.mean, "pieces": pieces}
    return JsonResponse(said, status=422 if wrong else 200)


def _rest(lines: Any) -> tuple[Any, ...]:
    return tuple(line for line in lines if line.is_removable)


def _clash(request: HttpRequest, visit: Visit, line_id: int, sent: Sent) -> HttpResponse:
    """Both are shown, and nothing is overwritten."""
    row = line_of(visit, line_id)
    clash = pages.clash_of(row, sent)
    if _wants_json(request):
        html = render_to_string("examining/_clash.html", {"clash": clash, "is_live": True}, request)
        return JsonResponse({"now": forms.values_of(row), "version": row.version, "clash": html}, status=409)
    return _again(request, visit, row, sent, status=409, clash=clash)


def _again(
    request: HttpRequest, visit: Visit, row: MuscleFinding, sent: Sent, *, status: int, clash: Any = ()
) -> HttpResponse:
    lines = lines_of(muscles_of(visit), atlas_of(staff(request)))
    line = next(each for each in lines if each.id == row.pk)
    shown = pages.typed(line, sent, clash)
    return _page(request, visit, "examining/muscles.html", at=str(row.pk), shown=shown, status=status)


@require_POST
def add(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """From the ranking, from the last visit's list, or one by one; then the first of them is in the hand."""
    visit = open_visit(staff(request), visit_id)
    after = request.POST.get("after", "")
    try:
        rows = services.add_muscles(
            who=staff(request),
            visit=visit,
            lines=_lines_to_add(request, visit),
            known=atlas_of(staff(request)),
            after=line_of(visit, int(after)) if after.isdecimal() else None,
        )
    except (WrongFinding, ListFull) as problem:
        words = problem.words if isinstance(problem, WrongFinding) else str(problem)
        messages.error(request, words)
        return _go(request, _address(visit, None))
    return _go(request, _address(visit, rows[0].pk if rows else None))


def _lines_to_add(request: HttpRequest, visit: Visit) -> tuple[services.MuscleLine, ...]:
    known = atlas_of(staff(request))
    if request.POST.get("from") == "ranking":
        return pages.from_ranking(ranked(visit), muscles_of(visit))
    if request.POST.get("from") == "last":
        lines = (services.MuscleLine(row.muscle, row.side, row.site) for row in last_muscles(visit))
        return tuple(line for line in lines if pages.holds(known, line))
    return tuple(pages.as_line(text) for text in request.POST.getlist("line"))


@require_POST
def remove(request: HttpRequest, visit_id: uuid.UUID, line_id: int) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    try:
        services.remove_muscle(who=staff(request), visit=visit, finding=line_of(visit, line_id))
    except NotRemovable as problem:
        messages.error(request, str(problem))
    return _go(request, _address(visit, None))


@require_POST
def nothing(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """Nothing was found in any of the muscles named, each with the version it was shown in."""
    visit = open_visit(staff(request), visit_id)
    try:
        count = services.nothing_in(who=staff(request), visit=visit, findings=forms.rows_in(request.POST))
        messages.success(request, f"Recorded: nothing found in {count}.", extra_tags="ok")
    except Stale:
        messages.warning(request, CHANGED)
    return _go(request, _address(visit, None))


def _page(
    request: HttpRequest, visit: Visit, template: str, *, at: str = "", shown: Any = None, status: int = 200
) -> HttpResponse:
    found, rows = ranked(visit), muscles_of(visit)
    page = pages.muscles_page(
        visit,
        rows,
        found,
        last_muscles(visit),
        at=at or request.GET.get("muscle", ""),
        sought=request.GET.get("q", "")[:120],
        shown=shown,
    )
    context = {"visit": visit, "page": page, "danger": page.danger, "lines": page.lines}
    return render(request, template, context, status=status)


def _going(visit: Visit, row: MuscleFinding, go: str) -> int:
    """The muscle that a button leads to; the same at either end of the list."""
    ids = [each.pk for each in muscles_of(visit)]
    step = {"next": 1, "previous": -1}.get(go, 0)
    place = min(max(0, ids.index(row.pk) + step), len(ids) - 1)
    return int(ids[place])


def _address(visit: Visit, line_id: int | None) -> str:
    page = reverse("muscles", args=[visit.pk])
    return f"{page}?muscle={line_id}#hand" if line_id else page


def _go(request: HttpRequest, to: str) -> HttpResponse:
    return JsonResponse({"next": to}) if _wants_json(request) else redirect(to)


def _wants_json(request: HttpRequest) -> bool:
    return "application/json" in request.headers.get("Accept", "")
