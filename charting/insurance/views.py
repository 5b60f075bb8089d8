"""Who pays for one episode: the page, and each of its forms."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.episodes.models import Episode
from charting.episodes.queries import episode_of
from charting.insurance import pages, services, shown
from charting.insurance.forms import AuthorisationForm, ClaimForm
from charting.insurance.pages import AuthorisationPage
from charting.insurance.queries import authorisation_of
from charting.insurance.services import NotKept
from charting.insurance.shown import Forms
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.versioning import Stale


@require_http_methods(["GET", "POST"])
def insurance(request: HttpRequest, episode_id: uuid.UUID) -> HttpResponse:
    episode = episode_of(staff(request), episode_id)
    if request.method == "POST":
        return _save_claim(request, episode)
    record_look(who=staff(request), at=episode.patient, as_="opened insurance")
    return _page(request, episode)


def _save_claim(request: HttpRequest, episode: Episode) -> HttpResponse:
    every = Forms(staff(request), episode)
    form = every.make(shown.CLAIM, request.POST)
    if not form.is_valid():
        return _page(request, episode, {shown.CLAIM: form}, status=422)
    said = form.said()
    version = said.pop("version")
    try:
        services.save_claim(who=staff(request), episode=episode, version=version, **said)
    except NotKept as problem:
        form.add_error(None, str(problem))
        return _page(request, episode, {shown.CLAIM: form}, status=422)
    except Stale as problem:
        clashes = pages.clashes_of(form, said, problem.current)
        again = every.make(shown.CLAIM, initial={**said, "version": ClaimForm.version_of(problem.current)})
        return _page(request, episode, {shown.CLAIM: again}, clashes=clashes, status=409)
    messages.success(request, "What the insurer is told is saved.", extra_tags="ok")
    return redirect("insurance", episode.pk)


@require_POST
def authorise(request: HttpRequest, episode_id: uuid.UUID) -> HttpResponse:
    """Add an authorisation."""
    act = services.add_authorisation
    return _add(
        request, episode_id, shown.AUTHORISATION, act, "authorisations", "The authorisation is added."
    )


@require_POST
def work(request: HttpRequest, episode_id: uuid.UUID) -> HttpResponse:
    """A further line of work status."""
    return _add(
        request, episode_id, shown.WORK, services.add_work_status, "work", "The work status is added."
    )


@require_POST
def certify(request: HttpRequest, episode_id: uuid.UUID) -> HttpResponse:
    """The plan of care was certified."""
    act = services.add_certification
    return _add(request, episode_id, shown.CERTIFICATION, act, "certification", "The certification is added.")


def _add(
    request: HttpRequest, episode_id: uuid.UUID, name: str, act: Callable[..., Any], part: str, done: str
) -> HttpResponse:
    user = staff(request)
    episode = episode_of(user, episode_id)
    require(user, "treat" if name == shown.WORK else "keep insurance")
    form = Forms(user, episode).make(name, request.POST)
    if form.is_valid():
        try:
            act(who=user, episode=episode, **form.added())
        except NotKept as problem:
            form.add_error(None, str(problem))
        else:
            messages.success(request, done, extra_tags="ok")
            return redirect(f"{reverse('insurance', args=[episode.pk])}#{part}")
    return _page(request, episode, {name: form}, status=422)


@require_http_methods(["GET", "POST"])
def authorisation(request: HttpRequest, episode_id: uuid.UUID, row_id: uuid.UUID) -> HttpResponse:
    """Change an authorisation, or withdraw it."""
    user = staff(request)
    row = authorisation_of(episode_of(user, episode_id), row_id)
    require(user, "keep insurance")
    patient, key = row.claim.episode.patient, services.authorisation_draft(row.claim.episode, row)
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened insurance")
        draft = draft_of(user, key)
        typed = typed_into(AuthorisationForm(patient=patient), draft)
        initial = {**AuthorisationForm.values_of(row), **typed}
        form = AuthorisationForm(initial=initial, patient=patient)
        return _authorisation(request, AuthorisationPage(row, form, key, draft))
    form = AuthorisationForm(request.POST, patient=patient)
    if not form.is_valid():
        return _authorisation(request, AuthorisationPage(row, form, key), status=422)
    said, version = form.about(), form.cleaned_data["version"] or 0
    is_withdrawn = form.cleaned_data["is_withdrawn"]
    try:
        services.change_authorisation(
            who=user, authorisation=row, version=version, is_withdrawn=is_withdrawn, **said
        )
    except Stale:
        initial = {**said, "is_withdrawn": is_withdrawn, "version": row.version}
        again = AuthorisationForm(initial=initial, patient=patient)
        clashes = pages.clashes_of(form, {**said, "is_withdrawn": is_withdrawn}, row)
        return _authorisation(request, AuthorisationPage(row, again, key, clashes=clashes), status=409)
    messages.success(request, "The authorisation is changed.", extra_tags="ok")
    return redirect(f"{reverse('insurance', args=[episode_id])}#authorisations")


def _page(
    request: HttpRequest,
    episode: Episode,
    sent: dict[str, Any] | None = None,
    *,
    clashes: pages.Clashes = (),
    status: int = 200,
) -> HttpResponse:
    page = pages.insurance_page(staff(request), episode, sent, clashes)
    context = {"page": page, "patient": episode.patient}
    return render(request, "insurance/insurance.html", context, status=status)


def _authorisation(request: HttpRequest, page: AuthorisationPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.authorisation.claim.episode.patient}
    return render(request, "insurance/authorisation.html", context, status=status)
