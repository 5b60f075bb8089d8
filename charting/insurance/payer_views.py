"""Policies of a person, payers of the practice, and the numbers under which people are registered."""

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.insurance import pages, payer_services, services
from charting.insurance.forms import PolicyForm, fresh
from charting.insurance.models import Payer
from charting.insurance.pages import PayersPage, PoliciesPage
from charting.insurance.payer_forms import PayerForm
from charting.insurance.queries import numbered_beside, payers_of, payers_offered, policy_of
from charting.insurance.services import NotKept
from charting.patients.queries import open_patient
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.versioning import Stale


@require_http_methods(["GET", "POST"])
def policies(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    """What a person is insured under, and a new policy."""
    user = staff(request)
    patient = open_patient(user, patient_id)
    require(user, "keep insurance")
    key, back = services.policy_draft(patient), _episode(request)
    known: dict[str, Any] = {"patient": patient, "payers": payers_offered(user)}
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened policies")
        draft = draft_of(user, key)
        form = PolicyForm(initial={**typed_into(PolicyForm(**known), draft), **fresh()}, **known)
        return _policies(request, pages.policies_page(user, patient, form, key, draft=draft, back=back))
    form = PolicyForm(request.POST, **known)
    if form.is_valid():
        try:
            number = form.cleaned_data["id"] or uuid.uuid4()
            services.add_policy(who=user, patient=patient, id=number, **form.about())
        except NotKept as problem:
            form.add_error(None, str(problem))
        else:
            messages.success(request, "The policy is added.", extra_tags="ok")
            return _back(patient_id, back)
    return _policies(request, pages.policies_page(user, patient, form, key, back=back), status=422)


@require_http_methods(["GET", "POST"])
def policy(request: HttpRequest, patient_id: uuid.UUID, policy_id: uuid.UUID) -> HttpResponse:
    """Change one policy."""
    user = staff(request)
    patient = open_patient(user, patient_id)
    require(user, "keep insurance")
    row = policy_of(patient, policy_id)
    key, back = services.policy_draft(patient, row), _episode(request)
    known: dict[str, Any] = {"patient": patient, "payers": (*payers_offered(user), row.payer)}
    more: dict[str, Any] = {"policy": row, "back": back}
    if request.method == "GET":
        record_look(who=user, at=patient, as_="opened policies")
        draft = draft_of(user, key)
        form = PolicyForm(
            initial={**PolicyForm.values_of(row), **typed_into(PolicyForm(**known), draft)}, **known
        )
        return _policies(request, pages.policies_page(user, patient, form, key, draft=draft, **more))
    form = PolicyForm(request.POST, **known)
    if not form.is_valid():
        return _policies(request, pages.policies_page(user, patient, form, key, **more), status=422)
    said = form.about()
    try:
        version = form.cleaned_data["version"] or 0
        services.change_policy(who=user, policy=row, version=version, **said)
    except Stale:
        again = PolicyForm(initial={**said, "version": row.version}, **known)
        clashes = pages.clashes_of(form, said, row)
        page = pages.policies_page(user, patient, again, key, clashes=clashes, **more)
        return _policies(request, page, status=409)
    messages.success(request, "The policy is changed.", extra_tags="ok")
    return _back(patient_id, back)


@require_http_methods(["GET", "POST"])
def payers(request: HttpRequest) -> HttpResponse:
    """The payers of the practice, and a new one."""
    user = staff(request)
    require(user, "keep insurance")
    key = payer_services.payer_draft(None)
    if request.method == "GET":
        draft = draft_of(user, key)
        form = PayerForm(initial={**PayerForm.values_of(None), **typed_into(PayerForm(), draft)})
        return _payers(request, PayersPage(payers_of(user), form, key, draft=draft))
    form = PayerForm(request.POST)
    if form.is_valid():
        try:
            row = payer_services.add_payer(who=user, **form.about())
        except NotKept as problem:
            form.add_error("name", str(problem))
        else:
            messages.success(request, f"{row.name} is added.", extra_tags="ok")
            return redirect("payers")
    return _payers(request, PayersPage(payers_of(user), form, key), status=422)


@require_http_methods(["GET", "POST"])
def payer(request: HttpRequest, payer_id: int) -> HttpResponse:
    """Change one payer."""
    user = staff(request)
    require(user, "keep insurance")
    row = get_object_or_404(Payer, pk=payer_id, practice=user.practice_id)
    key = payer_services.payer_draft(row)
    if request.method == "GET":
        draft = draft_of(user, key)
        form = PayerForm(initial={**PayerForm.values_of(row), **typed_into(PayerForm(), draft)})
        return _payers(request, PayersPage(payers_of(user), form, key, row, draft))
    form = PayerForm(request.POST)
    if form.is_valid():
        said, version = form.about(), form.cleaned_data["version"] or 0
        try:
            payer_services.change_payer(who=user, payer=row, version=version, **said)
        except NotKept as problem:
            form.add_error("name", str(problem))
        except Stale:
            again = PayerForm(initial={**said, "version": row.version})
            page = PayersPage(payers_of(user), again, key, row, clashes=pages.clashes_of(form, said, row))
            return _payers(request, page, status=409)
        else:
            messages.success(request, f"{row.name} is changed.", extra_tags="ok")
            return redirect("payers")
    return _payers(request, PayersPage(payers_of(user), form, key, row), status=422)


@require_http_methods(["GET", "POST"])
def numbers(request: HttpRequest) -> HttpResponse:
    """The registration numbers of practice and clinicians; one of them is entered at a time."""
    user = staff(request)
    require(user, "keep insurance")
    if request.method == "GET":
        return _numbers(request)
    whose = request.POST.get("whose", "")
    person = get_object_or_404(User, pk=whose, practice=user.practice_id) if whose.isdecimal() else None
    number = request.POST.get("number", "")
    try:
        payer_services.register_number(
            who=user, whose=person, shown=request.POST.get("shown", ""), number=number
        )
    except NotKept as problem:
        return _numbers(request, (whose, number, str(problem)), status=422)
    messages.success(request, f"The number of {person or user.practice} is saved.", extra_tags="ok")
    return redirect("registration-numbers")


def _episode(request: HttpRequest) -> str:
    """The episode that the person comes from, where it is one."""
    said = request.GET.get("episode", "") or request.POST.get("episode", "")
    try:
        return str(uuid.UUID(said)) if said else ""
    except ValueError:
        return ""


def _back(patient_id: uuid.UUID, episode: str) -> HttpResponse:
    if episode:
        return redirect(f"{reverse('insurance', args=[episode])}#payer")
    return redirect("policies", patient_id)


def _policies(request: HttpRequest, page: PoliciesPage, *, status: int = 200) -> HttpResponse:
    context = {"page": page, "patient": page.patient}
    return render(request, "insurance/policies.html", context, status=status)


def _payers(request: HttpRequest, page: PayersPage, *, status: int = 200) -> HttpResponse:
    return render(request, "insurance/payers.html", {"page": page}, status=status)


def _numbers(
    request: HttpRequest, typed: tuple[str, str, str] = ("", "", ""), *, status: int = 200
) -> HttpResponse:
    page = pages.numbers_page(staff(request), numbered_beside(staff(request)), typed)
    return render(request, "insurance/numbers.html", {"page": page}, status=status)
