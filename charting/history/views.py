"""The story, and the danger screen that comes before any ranking."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.history import pages, services
from charting.history.forms import DangerForm, StoryForm
from charting.history.pages import Clashes
from charting.history.queries import alarms, questions_of, screen_of, state_in, story_of
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def story(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "POST":
        return _save_story(request, visit)
    record_look(who=staff(request), at=visit, as_="opened story")
    key, saved = services.story_draft(visit), story_of(visit)
    draft = draft_of(staff(request), key)
    asked = questions_of(visit)
    values = StoryForm.values_of(saved, asked)
    form = StoryForm(initial={**values, **typed_into(StoryForm(questions=asked), draft)}, questions=asked)
    page = pages.story_page(visit, staff(request), saved, form, key, draft=draft)
    return render(request, "history/story.html", {"page": page, "visit": visit})


@require_POST
def carry_forward(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """Bring what seldom changes from earlier visits of the same complaint."""
    visit = open_visit(staff(request), visit_id)
    version = request.POST.get("version", "")
    try:
        services.carry_forward(
            who=staff(request), visit=visit, version=int(version) if version.isdecimal() else 0
        )
    except Stale:
        messages.warning(request, "Somebody saved the story meanwhile. Look at it, then tap once more.")
        return redirect("story", visit.pk)
    messages.success(request, "Brought forward. Ask again what changes.", extra_tags="ok")
    return redirect("story", visit.pk)


@require_http_methods(["GET", "POST"])
def danger(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "POST":
        return _save_danger(request, visit)
    record_look(who=staff(request), at=visit, as_="opened danger screen")
    key = services.danger_draft(visit)
    draft = draft_of(staff(request), key)
    screen = screen_of(visit)
    values = {**DangerForm.values_of(screen), "state": state_in(screen)}
    form = DangerForm(initial={**values, **typed_into(DangerForm(), draft)})
    page = pages.danger_page(visit, staff(request), screen, form, key, draft=draft)
    return render(request, "history/danger.html", {"page": page, "visit": visit})


def _save_story(request: HttpRequest, visit: Visit) -> HttpResponse:
    form = StoryForm(request.POST, questions=questions_of(visit))
    if not form.is_valid():
        return _story(request, visit, form, status=422)
    words = {name: form.cleaned_data[name] for name in StoryForm.WORDS}
    try:
        services.save_story(who=staff(request), visit=visit, **words, answers=form.answers())
    except Stale:
        current, asked = story_of(visit), questions_of(visit)
        known = {"version": current.version, "shown": asked.mark}
        again = StoryForm(initial={**form.cleaned_data, **known}, questions=asked)
        return _story(request, visit, again, status=409, clashes=pages.clashes_of_story(form, current))
    messages.success(request, "The story is saved.", extra_tags="ok")
    return redirect("danger-screen" if "next" in request.POST else "story", visit.pk)


def _save_danger(request: HttpRequest, visit: Visit) -> HttpResponse:
    form = DangerForm(request.POST)
    if not form.is_valid():
        return _danger(request, visit, form, status=422)
    state = form.cleaned_data["state"]
    try:
        services.answer_danger_screen(who=staff(request), visit=visit, state=state, answers=form.answers())
    except Stale:
        current = screen_of(visit)
        again = DangerForm(initial={**form.cleaned_data, "state": state_in(current)})
        return _danger(request, visit, again, status=409, clashes=pages.clashes_of_screen(form, current))
    messages.success(request, "The danger screen is saved.", extra_tags="ok")
    return redirect("danger-screen" if alarms(visit) else "drawing-step", visit.pk)


def _story(
    request: HttpRequest, visit: Visit, form: StoryForm, *, status: int, clashes: Clashes = ()
) -> HttpResponse:
    key = services.story_draft(visit)
    page = pages.story_page(visit, staff(request), story_of(visit), form, key, clashes=clashes)
    return render(request, "history/story.html", {"page": page, "visit": visit}, status=status)


def _danger(
    request: HttpRequest, visit: Visit, form: DangerForm, *, status: int, clashes: Clashes = ()
) -> HttpResponse:
    key = services.danger_draft(visit)
    page = pages.danger_page(visit, staff(request), screen_of(visit), form, key, clashes=clashes)
    return render(request, "history/danger.html", {"page": page, "visit": visit}, status=status)
