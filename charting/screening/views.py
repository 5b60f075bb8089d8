"""The neurological screen, and the vitals with what is looked at."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods

from bodymaps import parts as body_parts
from charting.audit.services import record_look
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of
from charting.drawing.queries import drawing_of
from charting.screening import forms, pages, services
from charting.screening.forms import Typed
from charting.screening.queries import Found, found_in, reflex_scale_in, state_in
from charting.screening.reasoned import reasoned_of
from charting.screening.sections import NEURO, VITAL, load, parts_for
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit

TEMPLATES = {NEURO: "screening/neuro.html", VITAL: "screening/vitals.html"}
ADDRESSES = {NEURO: "neuro-screen", VITAL: "vitals"}
SAVED = {NEURO: "The neuro screen is saved.", VITAL: "The vitals are saved."}


@require_http_methods(["GET", "POST"])
def neuro(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    return _screen(request, open_visit(staff(request), visit_id), NEURO)


@require_http_methods(["GET", "POST"])
def vitals(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    return _screen(request, open_visit(staff(request), visit_id), VITAL)


def _screen(request: HttpRequest, visit: Visit, page: str) -> HttpResponse:
    if request.method == "POST":
        typed = forms.read(request.POST, page)
        changed = _changed(request, visit, typed)
        return changed or _save(request, visit, typed)
    record_look(who=staff(request), at=visit, as_=f"opened {'neuro screen' if page == NEURO else 'vitals'}")
    draft = draft_of(staff(request), services.draft_key(visit, page))
    found = found_in(visit)
    return _render(request, visit, found, _to_show(request, visit, found, page, draft), draft=draft)


def _to_show(request: HttpRequest, visit: Visit, found: Found, page: str, draft: Draft | None) -> Typed:
    """What was typed and not saved, or else what is on record."""
    asked = load().known_parts(request.GET.getlist("show"))
    if draft:
        typed = forms.read(as_form_data(draft), page)
        return forms.shown_with(typed, asked) if asked else typed
    parts = asked or (_parts_drawn(visit) if page == NEURO else ())
    return forms.on_record(found, page, state_in(found, page), parts)


def _parts_drawn(visit: Visit) -> tuple[str, ...]:
    return parts_for(body_parts.parts_drawn(drawing_of(visit).marks))


def _changed(request: HttpRequest, visit: Visit, typed: Typed) -> HttpResponse | None:
    """The buttons that change what stands in the page and save nothing; None when it is to be saved."""
    sent = request.POST
    if "toggle" in sent:
        return _render(request, visit, found_in(visit), forms.toggled(typed, sent["toggle"]))
    if "fill" in sent:
        return _render(request, visit, found_in(visit), forms.filled(typed, sent["fill"]))
    if "untested" in sent:
        name = sent["untested"]
        again = forms.untested(typed, name, sent.get(f"reason_{name}", ""))
        return _render(request, visit, found_in(visit), again, status=422 if again.problems else 200)
    if "sure_scale" in sent:
        return _render(request, visit, found_in(visit), forms.with_scale(typed, sent["sure_scale"]))
    if "to_scale" in sent:
        return _other_scale(request, visit, typed, sent["to_scale"])
    return None


def _other_scale(request: HttpRequest, visit: Visit, typed: Typed, scale: str) -> HttpResponse:
    """Asks first where grades on the scale that is left would be dropped."""
    found = found_in(visit)
    if scale == typed.scale or not forms.reflexes_in({**found, **typed.values}, typed.scale):
        return _render(request, visit, found, forms.with_scale(typed, scale))
    return _render(request, visit, found, typed, asks_scale=scale)


def _save(request: HttpRequest, visit: Visit, typed: Typed) -> HttpResponse:
    typed = typed.checked()
    found = found_in(visit)
    if typed.problems:
        return _render(request, visit, found, typed, status=422)
    if typed.page == NEURO and not typed.switched and reflex_scale_in(found) not in ("", typed.scale):
        return _render(request, visit, found, typed, status=422, asks_scale=typed.scale)
    try:
        services.record_findings(
            who=staff(request),
            visit=visit,
            state=typed.state,
            findings=typed.findings(),
            page=typed.page,
            switch_scale=typed.switched,
        )
    except Stale:
        return _clash(request, visit, typed)
    messages.success(request, SAVED[typed.page], extra_tags="ok")
    shown = f"?{urlencode([('show', part) for part in typed.parts])}" if typed.page == NEURO else ""
    return redirect(reverse(ADDRESSES[typed.page], args=[visit.pk]) + shown)


def _clash(request: HttpRequest, visit: Visit, typed: Typed) -> HttpResponse:
    current = found_in(visit)
    clashes = pages.clashes_of(typed, current)
    again = forms.after_clash(typed, state_in(current, typed.page), current)
    return _render(request, visit, current, again, status=409, clashes=clashes)


def _render(
    request: HttpRequest, visit: Visit, found: Found, typed: Typed, *, status: int = 200, **more: Any
) -> HttpResponse:
    reasoned = reasoned_of(visit, found) if typed.page == NEURO else None
    page = pages.screen_page(visit, staff(request), found, typed, reasoned=reasoned, **more)
    return render(request, TEMPLATES[typed.page], {"page": page, "visit": visit}, status=status)
