"""Give an episode its title, and reopen a discharged one."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.episodes import services
from charting.episodes.forms import ReopenForm, TitleForm
from charting.episodes.pages import EpisodePage, episode_page
from charting.episodes.queries import episode_of
from charting.episodes.services import NotDone
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.versioning import Stale


@require_http_methods(["GET", "POST"])
def title(request: HttpRequest, episode_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    episode = episode_of(user, episode_id)
    require(user, "treat")
    if request.method == "GET":
        record_look(who=user, at=episode.patient, as_="opened episode")
        form = TitleForm(initial={"version": episode.version, "title": episode.title})
        return _title(request, episode_page(episode, form))
    form = TitleForm(request.POST)
    if not form.is_valid():
        return _title(request, episode_page(episode, form), status=422)
    try:
        services.name(who=user, episode=episode, **form.cleaned_data)
    except Stale:
        now, typed = episode_of(user, episode_id), form.cleaned_data["title"]
        again = TitleForm(initial={"version": now.version, "title": typed})
        return _title(request, episode_page(now, again, clashes=(("Title", now.title, typed),)), status=409)
    messages.success(request, "The title is saved.", extra_tags="ok")
    return redirect("patient", episode.patient_id)


@require_http_methods(["GET", "POST"])
def reopen(request: HttpRequest, episode_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    episode = episode_of(user, episode_id)
    require(user, "treat")
    key = services.reopen_draft(episode)
    if request.method == "GET":
        record_look(who=user, at=episode.patient, as_="opened episode")
        draft = draft_of(user, key)
        form = ReopenForm(initial=typed_into(ReopenForm(), draft))
        return _reopen(request, episode_page(episode, form, key, draft))
    form = ReopenForm(request.POST)
    if form.is_valid():
        try:
            services.reopen(who=user, episode=episode, **form.cleaned_data)
        except NotDone as problem:
            form.add_error(None, str(problem))
        else:
            messages.success(request, "The care for this complaint goes on.", extra_tags="ok")
            return redirect("patient", episode.patient_id)
    return _reopen(request, episode_page(episode, form, key), status=422)


def _title(request: HttpRequest, page: EpisodePage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.episode.patient}
    return render(request, "episodes/title.html", context, status=status)


def _reopen(request: HttpRequest, page: EpisodePage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.episode.patient}
    return render(request, "episodes/reopen.html", context, status=status)
