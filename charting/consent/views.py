"""What was agreed to in this visit, and the page on which a consent is signed."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from charting.audit.services import record_look
from charting.consent import pages, services
from charting.consent.forms import SignForm
from charting.consent.queries import text_for
from charting.consent.texts import ConsentText
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import draft_of
from charting.flags.queries import FlagsOpen
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.queries import open_visit
from charting.visits.services import VisitSigned

# Never brought back from a draft: a signature is given once, for the words on the page.
GIVEN_ONCE = {"ink", "by_typed_name", "device_time", "version"}


@require_GET
def consents(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="opened consents")
    page = pages.consents_page(visit, staff(request))
    context = {"page": page, "visit": visit, "danger": page.danger}
    return render(request, "consent/consents.html", context)


@require_http_methods(["GET", "POST"])
def sign(request: HttpRequest, visit_id: uuid.UUID, text_id: str) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    text = text_for(visit.patient.practice, text_id)
    require(staff(request), "treat")
    if visit.is_signed:
        raise VisitSigned
    if request.method == "POST":
        return _sign(request, visit, text)
    record_look(who=staff(request), at=visit, as_="opened consent text")
    draft = draft_of(staff(request), services.draft_key(visit, text))
    typed = {name: value for name, value in typed_into(SignForm(), draft).items() if name not in GIVEN_ONCE}
    values = {"signer_name": visit.patient.name, "version": text.version, **typed}
    return _page(request, visit, text, SignForm(initial=values), draft=draft)


def _sign(request: HttpRequest, visit: Visit, text: ConsentText) -> HttpResponse:
    form = SignForm(request.POST)
    if not form.is_valid():
        return _page(request, visit, text, form, status=422)
    version = form.cleaned_data["version"]
    try:
        services.sign(who=staff(request), visit=visit, text=text, version=version, **form.signed())
    except services.AnotherVersion as problem:
        kept = {name: form.cleaned_data[name] for name in ("signer", "signer_name", "questions")}
        messages.warning(request, str(problem), extra_tags="warn")
        again = SignForm(initial={**kept, "version": text.version})
        return _page(request, visit, text, again, status=409)
    except FlagsOpen:
        return _page(request, visit, text, form, status=409)
    messages.success(request, f"{text.title}: signed.", extra_tags="ok")
    return redirect("consents", visit.pk)


def _page(
    request: HttpRequest,
    visit: Visit,
    text: ConsentText,
    form: SignForm,
    *,
    draft: Draft | None = None,
    status: int = 200,
) -> HttpResponse:
    page = pages.sign_page(visit, staff(request), text, form, draft=draft)
    context = {"page": page, "visit": visit, "danger": page.danger}
    return render(request, "consent/sign.html", context, status=status)
