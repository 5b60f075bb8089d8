"""Treatment of a visit: the page, one entry of it, and the order of the list."""

import uuid
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from charting.atlas.queries import atlas_of
from charting.audit.services import record_look
from charting.drafts.services import keep
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.treatment import forms, opening, pages, services, where
from charting.treatment.done import WrongEntry
from charting.treatment.forms import Typed
from charting.treatment.gate_warnings import depth_warnings
from charting.treatment.models import TreatmentEntry
from charting.treatment.opened import OpenForm
from charting.treatment.opening import Looked
from charting.treatment.queries import entries_of, entry_of
from charting.treatment.told import in_words
from charting.treatment.where import Where
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import may_write, open_visit

CHANGED = "Somebody changed this entry meanwhile. Look at it, then say so again."


@require_GET
def treatment(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The page; for htmx the form of one technique on one place."""
    visit = open_visit(staff(request), visit_id)
    piece = request.GET.get("piece", "") if "HX-Request" in request.headers else ""
    if not piece:
        record_look(who=staff(request), at=visit, as_="opened treatment")
    if not may_write(staff(request), visit):
        done = pages.done_list(visit, entries_of(visit), atlas_of(staff(request)))
        return render(request, "treatment/record.html", {"visit": visit, "done": done})
    looked = Looked(staff(request), visit)
    form = opening.asked_for(looked, request.GET)
    if piece:
        status = 200 if form else 204
        return render(request, "treatment/_form.html", {"visit": visit, "form": form}, status=status)
    at = where.parse(said) if (said := request.GET.get("place")) else None
    return _page(request, looked, form, at=at)


@require_POST
def add(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    typed = forms.read(request.POST)
    key = services.new_draft_key(visit, typed.technique, typed.at)
    said: dict[str, Any] = {
        "who": staff(request),
        "visit": visit,
        "said": typed.said,
        "known": atlas_of(staff(request)),
    }
    try:
        row = services.add_entry(**said, after=typed.after, draft=key)
    except opening.Refusal as problem:
        return _again(request, visit, typed, problem, key)
    messages.success(request, f"Recorded: {in_words(row, atlas_of(staff(request)))}.", extra_tags="ok")
    _warn_of_depth(request, row)
    return redirect(pages.card_url(visit, where.of(row)))


@require_POST
def change(request: HttpRequest, visit_id: uuid.UUID, entry_id: int) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    entry = entry_of(visit, entry_id)
    typed = forms.read(request.POST)
    key = services.draft_key(entry)
    said: dict[str, Any] = {
        "who": staff(request),
        "visit": visit,
        "said": typed.said,
        "known": atlas_of(staff(request)),
    }
    try:
        row = services.change_entry(**said, entry=entry, version=typed.version, draft=key)
    except opening.Refusal as problem:
        return _again(request, visit, typed, problem, key, entry_id)
    except Stale:
        looked = Looked(staff(request), visit)
        form = opening.clashing(looked, entry_of(visit, entry_id), typed)
        return _page(request, looked, form, status=409)
    messages.success(request, "The entry is changed.", extra_tags="ok")
    _warn_of_depth(request, row)
    return redirect(f"{_address(visit)}#entry-{entry_id}")


def _warn_of_depth(request: HttpRequest, row: TreatmentEntry) -> None:
    for words in depth_warnings(row, atlas_of(staff(request))):
        messages.warning(request, words, extra_tags="warn")


@require_POST
def count(request: HttpRequest, visit_id: uuid.UUID, entry_id: int) -> HttpResponse:
    """How many needles of one entry came out."""
    visit = open_visit(staff(request), visit_id)
    entry = entry_of(visit, entry_id)
    said, version = forms.counted_out(entry, request.POST)
    change: dict[str, Any] = {
        "who": staff(request),
        "visit": visit,
        "entry": entry,
        "known": atlas_of(staff(request)),
    }
    try:
        services.change_entry(**change, version=version, said=said)
    except WrongEntry as problem:
        for name, words in problem.wrong.items():
            messages.error(request, f"{forms.label_of(entry.technique, name)}: {words}")
    except Stale:
        messages.warning(request, CHANGED)
    return redirect(f"{_address(visit)}#needles")


@require_POST
def remove(request: HttpRequest, visit_id: uuid.UUID, entry_id: int) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    entry = entry_of(visit, entry_id)
    version = int(said) if (said := request.POST.get("version", "")).isdecimal() else 0
    try:
        services.remove_entry(who=staff(request), visit=visit, entry=entry, version=version)
        messages.success(request, "The entry is removed.", extra_tags="ok")
    except services.NotRemovable as problem:
        messages.error(request, str(problem))
    except Stale:
        messages.warning(request, CHANGED)
    return redirect(f"{_address(visit)}#done")


@require_POST
def move(request: HttpRequest, visit_id: uuid.UUID, entry_id: int) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    step = {"up": -1, "down": 1}.get(request.POST.get("to", ""), 0)
    services.move_entry(who=staff(request), visit=visit, entry=entry_of(visit, entry_id), step=step)
    return redirect(f"{_address(visit)}#entry-{entry_id}")


@require_POST
def repeat(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """What is ticked of the last visit's list was done again."""
    visit = open_visit(staff(request), visit_id)
    ticked = [int(each) for each in request.POST.getlist("entry") if each.isdecimal()]
    change: dict[str, Any] = {"who": staff(request), "visit": visit, "known": atlas_of(staff(request))}
    try:
        made = services.repeat_last(**change, entries=ticked)
    except opening.Refusal as problem:
        messages.error(request, f"Nothing was recorded. {problem}")
        return _page(request, Looked(staff(request), visit), None, ticked=ticked, status=422)
    if made:
        words = f"Recorded: {len(made)} as at the last visit. Add minutes and what they did."
        messages.success(request, words, extra_tags="ok")
    else:
        messages.warning(request, "Tick what was done again.", extra_tags="warn")
    return redirect(f"{_address(visit)}#done")


def _again(
    request: HttpRequest,
    visit: Visit,
    typed: Typed,
    problem: PermissionDenied | WrongEntry,
    key: str,
    entry_id: int | None = None,
) -> HttpResponse:
    """The form as it was typed with what to mend. It is kept: what to do first may stand on another page."""
    require(staff(request), "treat")
    sent = {name: values for name, values in request.POST.lists() if name != "csrfmiddlewaretoken"}
    keep(who=staff(request), key=key, data=sent)
    entry = entry_of(visit, entry_id) if entry_id else None
    looked = Looked(staff(request), visit)
    form = opening.refused(looked, typed, problem, entry)
    if form is None:
        messages.error(request, str(problem))
    return _page(request, looked, form, status=422)


def _page(
    request: HttpRequest,
    looked: Looked,
    form: OpenForm | None,
    *,
    at: Where | None = None,
    ticked: Any = (),
    status: int = 200,
) -> HttpResponse:
    page = opening.page_of(looked, form, at=at, sought=request.GET.get("q", "")[:120], ticked=ticked)
    context = {"visit": looked.visit, "page": page, "form": form, "danger": page.danger, "done": page.done}
    return render(request, "treatment/treatment.html", context, status=status)


def _address(visit: Visit) -> str:
    return reverse("treatment", args=[visit.pk])
