"""The contact log of a person, and the papers of a chart."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.contacts import pages, services
from charting.contacts.forms import ContactForm, PaperForm, StrikeForm
from charting.contacts.pages import FurtherPage
from charting.contacts.queries import Line, Paper, chart_with_papers, line_of, page_of, paper_of
from charting.contacts.services import NotKept
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.patients.models import Patient
from charting.patients.queries import open_patient
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import require

# A picture that came from outside is shown by a page of ours and runs nothing, wherever it is opened.
PICTURE_POLICY = "default-src 'none'; sandbox"


@require_http_methods(["GET", "POST"])
def contacts(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    patient = open_patient(user, patient_id)
    if request.method == "POST":
        return _log(request, patient)
    record_look(who=user, at=patient, as_="opened contacts")
    draft = draft_of(user, services.draft_key(patient))
    typed = typed_into(ContactForm(user=user, patient=patient), draft)
    # An id of its own for every page: that of a draft may have been used meanwhile.
    usual = ContactForm.usual(patient)
    form = ContactForm(initial={**usual, **typed, "id": usual["id"]}, user=user, patient=patient)
    return _contacts(request, pages.contacts_page(user, patient, form, draft))


def _log(request: HttpRequest, patient: Patient) -> HttpResponse:
    user = staff(request)
    require(user, "log contacts")
    form = ContactForm(request.POST, user=user, patient=patient)
    if form.is_valid() and _done(form, lambda: services.log(who=user, patient=patient, **form.said())):
        messages.success(request, "The line is in the log.", extra_tags="ok")
        return redirect("contacts", patient.pk)
    return _contacts(request, pages.contacts_page(user, patient, form), status=422)


def _done(form: Any, act: Callable[[], Any]) -> bool:
    """Whether it was kept; what was said against it stands above the form otherwise."""
    try:
        act()
    except NotKept as problem:
        form.add_error(None, str(problem))
        return False
    return True


@require_http_methods(["GET", "POST"])
def settle(request: HttpRequest, patient_id: uuid.UUID, contact_id: uuid.UUID) -> HttpResponse:
    return _further(request, patient_id, contact_id, "settle", services.settle, ContactForm.settling)


@require_http_methods(["GET", "POST"])
def correct(request: HttpRequest, patient_id: uuid.UUID, contact_id: uuid.UUID) -> HttpResponse:
    return _further(request, patient_id, contact_id, "correct", services.correct, ContactForm.correcting)


def _further(
    request: HttpRequest,
    patient_id: uuid.UUID,
    contact_id: uuid.UUID,
    verb: str,
    act: Callable[..., Any],
    usual: Callable[[Line], dict[str, Any]],
) -> HttpResponse:
    user = staff(request)
    patient = open_patient(user, patient_id)
    require(user, "log contacts")
    line = line_of(user, patient, contact_id)
    key = services.further_draft_key(line.contact, verb)
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened contacts")
        draft = draft_of(user, key)
        first = usual(line)
        typed = typed_into(ContactForm(user=user, patient=patient), draft)
        form = ContactForm(initial={**first, **typed, "id": first["id"]}, user=user, patient=patient)
        return _about(request, FurtherPage(patient, line, verb, form, key, draft))
    form = ContactForm(request.POST, user=user, patient=patient)
    if form.is_valid() and _done(form, lambda: act(who=user, line=line.contact, **form.said())):
        messages.success(request, "The line is in the log.", extra_tags="ok")
        return redirect("contacts", patient.pk)
    return _about(request, FurtherPage(patient, line, verb, form, key, None), status=422)


@require_http_methods(["GET", "POST"])
def papers(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    patient = chart_with_papers(user, patient_id)
    if request.method == "POST":
        return _add_paper(request, patient)
    record_look(who=user, at=patient, as_="opened papers")
    draft = draft_of(user, services.paper_draft_key(patient))
    initial = {**typed_into(PaperForm(patient=patient), draft), "id": uuid.uuid4()}
    form = PaperForm(initial=initial, patient=patient)
    return _papers(request, pages.papers_page(user, patient, form, draft))


def _add_paper(request: HttpRequest, patient: Patient) -> HttpResponse:
    user = staff(request)
    require(user, "treat")
    form = PaperForm.sent(request, patient)
    if form.is_valid() and _done(form, lambda: services.add_paper(who=user, patient=patient, **form.kept())):
        messages.success(request, "The paper is in the chart.", extra_tags="ok")
        return redirect("papers", patient.pk)
    return _papers(request, pages.papers_page(user, patient, form), status=422)


@require_GET
def paper(request: HttpRequest, patient_id: uuid.UUID, paper_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    patient = chart_with_papers(user, patient_id)
    found = paper_of(user, patient, paper_id)
    services.look_at(who=user, patient=patient, paper=paper_id)
    return _paper(request, pages.paper_page(user, patient, found, StrikeForm()))


@require_POST
def strike(request: HttpRequest, patient_id: uuid.UUID, paper_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    patient = chart_with_papers(user, patient_id)
    found = paper_of(user, patient, paper_id)
    require(user, "treat")
    form = StrikeForm(request.POST)
    if form.is_valid() and _done(form, lambda: _strike(user, found, form)):
        messages.success(request, "The paper is out of use.", extra_tags="ok")
        return redirect("papers", patient.pk)
    return _paper(request, pages.paper_page(user, patient, found, form), status=422)


def _strike(user: User, found: Paper, form: StrikeForm) -> None:
    patient = found.first.patient
    services.strike_paper(who=user, patient=patient, paper=found.id, why=form.cleaned_data["why"])


@require_GET
def picture(request: HttpRequest, patient_id: uuid.UUID, paper_id: uuid.UUID, page: int) -> HttpResponse:
    """The picture of one page: made here, of a fixed type, never run and never kept by a cache."""
    user = staff(request)
    patient = chart_with_papers(user, patient_id)
    row = page_of(user, patient, paper_id, page)
    services.look_at(who=user, patient=patient, paper=paper_id, page=page)
    ending = "png" if row.media_type == "image/png" else "jpg"
    headers = {
        "Content-Security-Policy": PICTURE_POLICY,
        "Content-Disposition": f'attachment; filename="paper-{paper_id}-{page}.{ending}"',
        "Cross-Origin-Resource-Policy": "same-origin",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(bytes(row.content), content_type=row.media_type, headers=headers)


def _contacts(request: HttpRequest, page: pages.ContactsPage, *, status: int = 200) -> HttpResponse:
    return _shown(request, "contacts/contacts.html", page, status)


def _about(request: HttpRequest, page: FurtherPage, *, status: int = 200) -> HttpResponse:
    return _shown(request, "contacts/further.html", page, status)


def _papers(request: HttpRequest, page: pages.PapersPage, *, status: int = 200) -> HttpResponse:
    return _shown(request, "contacts/papers.html", page, status)


def _paper(request: HttpRequest, page: pages.PaperPage, *, status: int = 200) -> HttpResponse:
    return _shown(request, "contacts/paper.html", page, status)


def _shown(request: HttpRequest, template: str, page: Any, status: int) -> HttpResponse:
    return render(request, template, {"page": page, "patient": page.patient}, status=status)
