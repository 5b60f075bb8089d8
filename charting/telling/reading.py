"""The clinician reads what the patient told, and takes it over or sets it aside."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from charting.audit.services import record_look
from charting.history.pages import clashes_of_screen
from charting.history.queries import case_of, screen_of, state_in, story_of
from charting.staff.requests import staff
from charting.staff.rights import may, require
from charting.telling import queries, services, told
from charting.telling.models import Telling
from charting.telling.told import Sent
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit

RETOLD = "The patient, or a colleague, changed this meanwhile. Read it again: nothing was taken over."


@require_http_methods(["GET", "POST"])
def told_page(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "POST":
        require(staff(request), "treat")
        return _settle(request, visit)
    record_look(who=staff(request), at=visit, as_="opened told answers")
    return _page(request, visit)


@require_GET
def now(request: HttpRequest) -> HttpResponse:
    """Which patients said yes to a danger question alone: asked for by open pages every few seconds."""
    user, only = staff(request), request.GET.get("visit", "")
    warned = [each for each in queries.warned_among(user) if only in ("", str(each.visit.pk))]
    return render(request, "telling/_now.html", {"warned": warned, "opens": may(user, "open chart")})


def _settle(request: HttpRequest, visit: Visit) -> HttpResponse:
    telling = _telling_meant(request, visit)
    act = request.POST.get("act", "")
    if act == "danger":
        return _take_danger(request, visit, telling)
    if act == "aside":
        return _set_aside(request, visit, telling)
    return _take(request, visit, telling, everything=act == "all")


def _telling_meant(request: HttpRequest, visit: Visit) -> Telling:
    meant = request.POST.get("telling", "")
    for telling in queries.tellings_of(visit):
        if str(telling.pk) == meant:
            return telling
    raise Http404("no such telling")


def _take(request: HttpRequest, visit: Visit, telling: Telling, *, everything: bool) -> HttpResponse:
    form = told.story_form(telling, request.POST)
    is_valid = form.is_valid()
    left = [item.key for item in form.asked if item.key not in telling.taken]
    keys = left if everything else [key for key in left if key in form.cleaned_data.get("take", [])]
    if not keys and is_valid:
        messages.warning(request, "Tick what is to be taken over first.", extra_tags="warn")
        return _page(request, visit, Sent(telling, story=form), status=422)
    answers = form.need(keys)
    if form.errors:
        return _page(request, visit, Sent(telling, story=form), status=422)
    shown = {"version": form.cleaned_data["version"], "story": form.cleaned_data["story"]}
    try:
        services.take(who=staff(request), telling=telling, answers=answers, **shown)
    except Stale as problem:
        if isinstance(problem.current, Telling):
            return _retold(request, visit)
        clashes = told.clashes_of(form, case_of(visit), keys)
        typed = {**form.cleaned_data, "story": story_of(visit).version}
        again = told.story_form(telling, initial=typed)
        return _page(request, visit, Sent(telling, story=again, clashes=clashes), status=409)
    messages.success(request, f"Taken over: {len(answers)} of what the patient told.", extra_tags="ok")
    return redirect("told", visit.pk)


def _take_danger(request: HttpRequest, visit: Visit, telling: Telling) -> HttpResponse:
    form = told.danger_form(telling, request.POST)
    if not form.is_valid():
        return _page(request, visit, Sent(telling, danger=form), status=422)
    state = form.cleaned_data["state"]
    try:
        services.take_danger(
            who=staff(request),
            telling=telling,
            version=_version(request),
            state=state,
            answers=form.answers(),
        )
    except Stale as problem:
        if isinstance(problem.current, Telling):
            return _retold(request, visit)
        current = screen_of(visit)
        again = told.danger_form(telling, initial={**form.cleaned_data, "state": state_in(current)})
        clashes = clashes_of_screen(form, current)
        return _page(request, visit, Sent(telling, danger=again, clashes=clashes), status=409)
    messages.success(request, "The danger screen is saved.", extra_tags="ok")
    return redirect("told", visit.pk)


def _set_aside(request: HttpRequest, visit: Visit, telling: Telling) -> HttpResponse:
    try:
        services.set_aside(who=staff(request), telling=telling, version=_version(request))
    except Stale:
        return _retold(request, visit)
    messages.success(request, "Set aside. It is kept below as it was told.", extra_tags="ok")
    return redirect("told", visit.pk)


def _version(request: HttpRequest) -> int:
    """That of the telling the page showed; 0, which none has, for anything else."""
    sent = request.POST.get("version", "")
    return int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 9 else 0


def _retold(request: HttpRequest, visit: Visit) -> HttpResponse:
    messages.error(request, RETOLD, extra_tags="danger")
    return _page(request, visit, status=409)


def _page(request: HttpRequest, visit: Visit, sent: Sent | None = None, *, status: int = 200) -> HttpResponse:
    page = told.told_page(visit, staff(request), sent)
    return render(request, "telling/told.html", {"page": page, "visit": visit}, status=status)
