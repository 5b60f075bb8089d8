"""What was agreed to: signed, confirmed and withdrawn, in a visit and over time."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.consent import circumstances, pages, services
from charting.consent.coverage import Standing
from charting.consent.forms import ConfirmForm, SignForm, WithdrawForm
from charting.consent.queries import consent_of, standing, text_for
from charting.consent.texts import ConsentText
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import draft_of
from charting.flags.queries import FlagsOpen
from charting.patients.access import charts_of
from charting.patients.models import Patient
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.models import Visit
from charting.visits.queries import open_visit
from charting.visits.services import VisitSigned


@require_GET
def consents(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    record_look(who=staff(request), at=visit, as_="opened consents")
    return _consents(request, visit, pages.consents_page(visit, staff(request)))


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
    known = typed_into(SignForm(text=text), draft)
    typed = {name: value for name, value in known.items() if name not in SignForm.GIVEN_ONCE}
    return _page(request, visit, text, _form(visit, text, typed), draft=draft)


def _form(visit: Visit, text: ConsentText, typed: dict[str, Any]) -> SignForm:
    """A form for these very words, with what was typed before; a child is signed for."""
    under_age = circumstances.is_under_age(visit.patient, visit)
    usual = {"signer": "guardian"} if under_age else {"signer_name": visit.patient.name}
    answers = circumstances.mark_of(circumstances.answers_of(text, visit))
    read = {"version": text.version, "answers_read": answers}
    return SignForm(initial={**usual, **typed, **read}, text=text)


def _sign(request: HttpRequest, visit: Visit, text: ConsentText) -> HttpResponse:
    form = SignForm(request.POST, text=text)
    if not form.is_valid():
        return _page(request, visit, text, form, status=422)
    version = form.cleaned_data["version"]
    try:
        row = services.sign(who=staff(request), visit=visit, text=text, version=version, **form.signed())
    except services.AnotherVersion as problem:
        messages.warning(request, str(problem), extra_tags="warn")
        return _page(request, visit, text, _form(visit, text, form.again()), status=409)
    except FlagsOpen:
        return _page(request, visit, text, form, status=409)
    messages.success(request, f"{text.title}: signed.", extra_tags="ok")
    if row.signer == row.Signer.PATIENT and circumstances.is_under_age(visit.patient, visit):
        said = "The patient is under age and signed alone. Check that the law of your place allows it."
        messages.warning(request, said, extra_tags="warn")
    return redirect("consents", visit.pk)


@require_POST
def confirm(request: HttpRequest, visit_id: uuid.UUID, consent_id: int) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    each = consent_of(visit.patient, consent_id)
    require(staff(request), "treat")
    form = ConfirmForm(request.POST, sensitive=bool(each.sensitive), prefix=f"c{consent_id}")
    if not form.is_valid():
        page = pages.consents_page(visit, staff(request), {consent_id: form})
        return _consents(request, visit, page, status=422)
    try:
        services.confirm(who=staff(request), visit=visit, consent=each.consent, **form.cleaned_data)
    except (services.CannotConfirm, FlagsOpen) as problem:
        messages.warning(request, str(problem), extra_tags="warn")
        page = pages.consents_page(visit, staff(request), {consent_id: form})
        return _consents(request, visit, page, status=409)
    messages.success(request, f"{each.consent.title}: confirmed by word of mouth.", extra_tags="ok")
    return redirect("consents", visit.pk)


@require_GET
def of_patient(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    patient = _chart(request, patient_id)
    record_look(who=staff(request), at=patient, as_="opened consents")
    page = pages.patient_consents(staff(request), patient)
    return render(request, "consent/of_patient.html", {"page": page, "patient": patient})


@require_http_methods(["GET", "POST"])
def withdraw(request: HttpRequest, patient_id: uuid.UUID, consent_id: int) -> HttpResponse:
    patient = _chart(request, patient_id)
    each = consent_of(patient, consent_id)
    require(staff(request), "treat")
    if each.withdrawn:
        messages.info(request, "This consent was withdrawn before.", extra_tags="info")
        return redirect("patient-consents", patient.pk)
    others = [one for one in standing(patient) if one.withdrawn is None]
    choices = [(str(one.consent.pk), _named(one)) for one in others]
    if request.method == "POST":
        return _withdraw(request, patient, each, WithdrawForm(request.POST, choices=choices))
    record_look(who=staff(request), at=patient, as_="opened consents")
    draft = draft_of(staff(request), services.withdrawal_key(patient))
    meant = [str(one.consent.pk) for one in _alike(each, others)]
    usual = {"said_by": each.consent.signer_name, "which": meant}
    typed = typed_into(WithdrawForm(choices=choices), draft)
    form = WithdrawForm(initial={**usual, **typed}, choices=choices)
    return _withdrawal(request, pages.withdraw_page(patient, each, form, draft))


def _withdraw(request: HttpRequest, patient: Patient, each: Standing, form: WithdrawForm) -> HttpResponse:
    if not form.is_valid():
        return _withdrawal(request, pages.withdraw_page(patient, each, form), status=422)
    chosen = set(form.cleaned_data["which"])
    rows = [one.consent for one in standing(patient) if str(one.consent.pk) in chosen]
    made = services.withdraw(who=staff(request), patient=patient, consents=rows, **form.withdrawn())
    said = "; ".join(row.consent.title for row in made) or "Nothing more"
    messages.success(request, f"Withdrawn: {said}. The record is kept.", extra_tags="ok")
    return redirect("patient-consents", patient.pk)


def _alike(each: Standing, others: list[Standing]) -> list[Standing]:
    """Those that are most likely meant too: of the same procedure, or of the same sensitive area."""
    if each.sensitive:
        return [one for one in others if one.sensitive == each.sensitive]
    return [one for one in others if not one.sensitive and set(one.procedures) & set(each.procedures)]


def _named(each: Standing) -> str:
    row = each.consent
    areas = f" ({each.areas_words})" if each.areas else ""
    return f"{row.title}{areas}, signed on {timezone.localtime(row.signed_at):%-d %B %Y}"


def _chart(request: HttpRequest, patient_id: uuid.UUID) -> Patient:
    return get_object_or_404(charts_of(staff(request)).select_related("practice"), pk=patient_id)


def _consents(
    request: HttpRequest, visit: Visit, page: pages.ConsentsPage, *, status: int = 200
) -> HttpResponse:
    context = {"page": page, "visit": visit, "danger": page.danger}
    return render(request, "consent/consents.html", context, status=status)


def _withdrawal(request: HttpRequest, page: pages.WithdrawPage, *, status: int = 200) -> HttpResponse:
    return render(request, "consent/withdraw.html", {"page": page, "patient": page.patient}, status=status)


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
