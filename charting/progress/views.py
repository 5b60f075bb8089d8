"""The course of a person over weeks, and the end of an episode."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import draft_of
from charting.episodes.models import Episode
from charting.episodes.queries import episode_of
from charting.episodes.services import NotDone
from charting.patients.access import charts_of
from charting.progress import pages, services
from charting.progress.forms import DischargeForm
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import may, require


@require_GET
def progress(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    patient = get_object_or_404(charts_of(user).select_related("practice"), pk=patient_id)
    record_look(who=user, at=patient, as_="opened progress")
    page = pages.course_page(user, patient, _uuid(request.GET.get("episode", "")))
    return render(request, "progress/progress.html", {"page": page, "patient": patient})


@require_http_methods(["GET", "POST"])
def discharge(request: HttpRequest, patient_id: uuid.UUID, episode_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    episode = episode_of(user, episode_id)
    if episode.patient_id != patient_id:
        raise Http404("There is no such episode of this person.")
    if request.method == "POST":
        return _end(request, user, episode)
    record_look(who=user, at=episode.patient, as_="opened discharge")
    may_end = episode.is_open and may(user, "treat")
    draft = draft_of(user, services.draft_key(episode)) if may_end else None
    form = DischargeForm(initial=typed_into(DischargeForm(), draft)) if may_end else None
    return _discharge(request, user, episode, form, draft)


def _end(request: HttpRequest, user: User, episode: Episode) -> HttpResponse:
    require(user, "treat")
    form = DischargeForm(request.POST)
    if form.is_valid():
        try:
            services.discharge(who=user, episode=episode, **form.cleaned_data)
        except NotDone as problem:
            form.add_error(None, str(problem))
        else:
            messages.success(request, "The episode is discharged.", extra_tags="ok")
            return redirect("discharge", episode.patient_id, episode.pk)
    return _discharge(request, user, episode, form, None, status=422)


def _discharge(
    request: HttpRequest,
    user: User,
    episode: Episode,
    form: DischargeForm | None,
    draft: Draft | None,
    *,
    status: int = 200,
) -> HttpResponse:
    events = tuple(episode.events.select_related("done_by"))
    page = pages.discharge_page(user, episode, events, form, draft)
    return render(
        request, "progress/discharge.html", {"page": page, "patient": episode.patient}, status=status
    )


def _uuid(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None
