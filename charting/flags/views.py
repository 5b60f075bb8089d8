"""The signs of danger in a visit: what is raised, asked on, decided, followed up."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.drafts.services import keep
from charting.flags import pages, services
from charting.flags.forms import DecisionForm, FollowUpForm, QuestionsForm
from charting.flags.models import Decision
from charting.flags.pages import Sent
from charting.flags.queries import answers_of, decision_in, standing_of, state_in
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit

MEANWHILE = "This changed while you were writing: read above what is new, then save again."
RAISED_NO_MORE = (
    "The chart does not raise this any more, so no decision was saved. "
    "What you typed is kept and comes back with it."
)


@require_GET
def flags(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="opened danger signs")
    return _page(request, visit)


@require_POST
def answer(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    form = QuestionsForm(request.POST, items=pages.questions_for((), request.POST))
    if not form.is_valid():
        return _page(request, visit, Sent(questions=form), status=422)
    state = form.cleaned_data["state"]
    try:
        services.answer(who=staff(request), visit=visit, state=state, answers=form.answers())
    except Stale:
        current = answers_of(visit)
        again = QuestionsForm({**request.POST.dict(), "state": state_in(current)}, items=form.items)
        clashes = pages.clashes_of(form, current)
        return _page(request, visit, Sent(questions=again, clashes=clashes), status=409)
    messages.success(request, "The answers are saved.", extra_tags="ok")
    return redirect("flags", visit.pk)


@require_POST
def decide(request: HttpRequest, visit_id: uuid.UUID, flag_id: str) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    require(staff(request), "treat")
    form = DecisionForm(request.POST, prefix=flag_id, practice=visit.patient.practice)
    if not form.is_valid():
        return _page(request, visit, Sent(decision=form, flag_id=flag_id), status=422)
    try:
        made = services.decide(who=staff(request), visit=visit, flag_id=flag_id, **form.decided())
    except Stale:
        return _stale(request, visit, flag_id)
    messages.success(request, f"Decided: {made.shown['title']}.", extra_tags="ok")
    return redirect("flags", visit.pk)


@require_http_methods(["GET", "POST"])
def follow_up(request: HttpRequest, visit_id: uuid.UUID, decision_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    decision = decision_in(visit, decision_id)
    if request.method == "POST":
        return _close(request, visit, decision)
    record_look(who=staff(request), at=visit, as_="opened follow-up")
    draft = draft_of(staff(request), services.follow_up_draft(decision))
    form = FollowUpForm(initial=typed_into(FollowUpForm(), draft))
    page = pages.follow_up_page(decision, staff(request), form, draft)
    return render(request, "flags/follow_up.html", {"page": page, "visit": visit})


def _close(request: HttpRequest, visit: Visit, decision: Decision) -> HttpResponse:
    require(staff(request), "treat")
    form = FollowUpForm(request.POST)
    status = 422
    if form.is_valid():
        try:
            services.follow_up(who=staff(request), decision=decision, **form.cleaned_data)
        except services.FollowedUp as problem:
            form.add_error(None, str(problem))
            status = 409
        else:
            messages.success(request, "The follow-up is closed.", extra_tags="ok")
            return redirect("today")
    page = pages.follow_up_page(decision_in(visit, decision.pk), staff(request), form)
    return render(request, "flags/follow_up.html", {"page": page, "visit": visit}, status=status)


def _stale(request: HttpRequest, visit: Visit, flag_id: str) -> HttpResponse:
    """The flag or its decisions changed since the page was opened; what was typed stands in the form."""
    standing = standing_of(visit, flag_id)
    if standing is None or not standing.must_decide:
        key = services.decision_draft(visit, flag_id)
        typed = {name: values for name, values in request.POST.lists() if name != "csrfmiddlewaretoken"}
        keep(who=staff(request), key=key, data=typed)
        messages.warning(request, RAISED_NO_MORE, extra_tags="warn")
        return _page(request, visit, status=409)
    sent = {**request.POST.dict(), f"{flag_id}-state": standing.state}
    again = DecisionForm(sent, prefix=flag_id, practice=visit.patient.practice)
    again.full_clean()
    again.add_error(None, MEANWHILE)
    return _page(request, visit, Sent(decision=again, flag_id=flag_id), status=409)


def _page(request: HttpRequest, visit: Visit, sent: Sent | None = None, *, status: int = 200) -> HttpResponse:
    page = pages.flags_page(visit, staff(request), sent)
    context = {"page": page, "visit": visit, "danger": page.state}
    return render(request, "flags/flags.html", context, status=status)
