"""Joints and range: the page of a joint."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods

from bodymaps import parts as body_parts
from bodymaps.reasoning import ranges
from charting.audit.services import record_look
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of
from charting.drafts.services import keep
from charting.drafts.views import NOT_TYPED
from charting.drawing.queries import drawing_of
from charting.examination import forms, pages, services
from charting.examination.forms import LAST, JointTyped
from charting.examination.joints import JointFound, drawn_joints, joint_of, last_instrument, last_list
from charting.screening.pages import NO_CLASHES, Clashes
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def joints(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "POST":
        typed = forms.read(request.POST, _known(request.POST.get("joint", "")) or _first())
        return _changed(request, visit, typed) or _save(request, visit, typed)
    record_look(who=staff(request), at=visit, as_="opened joints")
    drawn = _drawn(visit)
    joint = _known(request.GET.get("joint", "")) or (drawn or (_first(),))[0]
    draft = draft_of(staff(request), services.draft_key(visit, joint))
    found = joint_of(visit, joint)
    as_last = request.GET.get("list") == LAST
    return _render(request, visit, found, _to_show(visit, found, draft, as_last), drawn=drawn, draft=draft)


def _to_show(visit: Visit, found: JointFound, draft: Draft | None, as_last: bool) -> JointTyped:
    """What was typed and not saved, or else what is on record."""
    if draft:
        return forms.read(as_form_data(draft), found.joint)
    return forms.on_record(found, last_instrument(visit, found.joint), as_last=as_last)


def _known(name: str) -> str:
    return name if name in {joint.id for joint in ranges.load().joints} else ""


def _first() -> str:
    return ranges.load().joints[0].id


def _drawn(visit: Visit) -> tuple[str, ...]:
    return drawn_joints(body_parts.parts_drawn(drawing_of(visit).marks))


def _changed(request: HttpRequest, visit: Visit, typed: JointTyped) -> HttpResponse | None:
    """The buttons that change what stands in the page and save nothing; None when it is to be saved."""
    sent = request.POST
    if "open" in sent:
        return _open(request, visit, typed, _known(sent["open"]) or typed.joint)
    if "fill" in sent:
        again = forms.filled(typed, sent["fill"], last_list(visit))
        return _render(request, visit, joint_of(visit, typed.joint), again)
    if "untested" in sent:
        name = sent["untested"]
        again = forms.untested(typed, name, sent.get(f"reason_{name}", ""), last_list(visit))
        status = 422 if again.problems else 200
        return _render(request, visit, joint_of(visit, typed.joint), again, status=status)
    return None


def _open(request: HttpRequest, visit: Visit, typed: JointTyped, joint: str) -> HttpResponse:
    """Another joint; what was typed here and not saved waits as a draft."""
    if forms.says_more(typed, joint_of(visit, typed.joint)):
        data = {name: values for name, values in request.POST.lists() if name not in {*NOT_TYPED, "open"}}
        keep(who=staff(request), key=services.draft_key(visit, typed.joint), data=data)
    return redirect(_address(visit, joint, typed.as_last))


def _save(request: HttpRequest, visit: Visit, typed: JointTyped) -> HttpResponse:
    typed = typed.checked()
    if typed.problems:
        return _render(request, visit, joint_of(visit, typed.joint), typed, status=422)
    try:
        services.record_joints(
            who=staff(request),
            visit=visit,
            joint=typed.joint,
            state=typed.state,
            readings=typed.taken(),
            tests=typed.tests.findings(),
        )
    except Stale:
        return _clash(request, visit, typed)
    title = ranges.load().joint(typed.joint).title
    messages.success(request, f"Saved: {title[:1].lower()}{title[1:]}.", extra_tags="ok")
    return redirect(_address(visit, typed.joint, typed.as_last))


def _clash(request: HttpRequest, visit: Visit, typed: JointTyped) -> HttpResponse:
    current = joint_of(visit, typed.joint)
    clashes = pages.clashes_of(typed, current)
    again = forms.after_clash(typed, current)
    return _render(request, visit, current, again, status=409, clashes=clashes)


def _address(visit: Visit, joint: str, as_last: bool) -> str:
    asked = {"joint": joint, **({"list": LAST} if as_last else {})}
    return f"{reverse('joints', args=[visit.pk])}?{urlencode(asked)}"


def _render(
    request: HttpRequest,
    visit: Visit,
    found: JointFound,
    typed: JointTyped,
    *,
    status: int = 200,
    drawn: tuple[str, ...] | None = None,
    draft: Draft | None = None,
    clashes: Clashes = NO_CLASHES,
) -> HttpResponse:
    page = pages.joint_page(
        visit,
        staff(request),
        found,
        typed,
        drawn=_drawn(visit) if drawn is None else drawn,
        draft=draft,
        clashes=clashes,
    )
    return render(request, "examination/joints.html", {"page": page, "visit": visit}, status=status)
