"""Find who is registered twice, make two records one, and take them apart again."""

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from charting.audit.services import record_look
from charting.merging import apart, forms, pages, queries, services
from charting.merging.models import PatientMerge
from charting.merging.services import RIGHT
from charting.patients.models import Patient
from charting.staff.requests import staff
from charting.staff.rights import require


@require_GET
def pairs(request: HttpRequest) -> HttpResponse:
    """Who may be registered twice."""
    user = staff(request)
    require(user, RIGHT)
    return render(request, "merging/pairs.html", {"pairs": pages.pairs_page(user), "most": queries.MOST})


@require_GET
def find(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    """Which other record is of the same person: likely ones, or by its number (?record=1043)."""
    user = staff(request)
    patient = queries.chart(user, patient_id)
    require(user, RIGHT)
    form = forms.NumberForm(request.GET if "record" in request.GET else None)
    if form.is_bound and form.is_valid():
        other = queries.by_number(user, form.cleaned_data["record"])
        if other and other != patient:
            return redirect("merge-records", patient.pk, other.pk)
        form.add_error("record", "There is no other record of this number.")
    record_look(who=user, at=patient, as_="opened search for second record")
    context = {"page": pages.find_page(user, patient), "form": form, "patient": patient}
    return render(request, "merging/find.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def merge(request: HttpRequest, patient_id: uuid.UUID, other_id: uuid.UUID) -> HttpResponse:
    """Two records side by side. The first stays, the other goes."""
    user = staff(request)
    kept = queries.chart(user, patient_id)
    if done := queries.merge_that_stands(user, kept, other_id):
        return redirect("merged", done.pk)
    gone = queries.chart(user, other_id)
    require(user, RIGHT)
    if request.method == "GET":
        record_look(who=user, at=kept, as_="opened comparison of records")
        record_look(who=user, at=gone, as_="opened comparison of records")
        usual = forms.MergeForm.usual(kept, gone, queries.state_of(kept, gone))
        return _merge(request, kept, gone, forms.MergeForm(initial=usual, kept=kept, gone=gone))
    form = forms.MergeForm(request.POST, kept=kept, gone=gone)
    if form.is_valid():
        try:
            row = services.merge(who=user, kept=kept, gone=gone, **form.says())
            messages.success(request, "The two records are one now.", extra_tags="ok")
            return redirect("merged", row.pk)
        except services.NotMerged as problem:
            form.add_error(problem.field or None, str(problem))
            # What is shown now is what the next try is about.
            form.data = {**_lists(request), "seen": queries.state_of(kept, gone)}
    return _merge(request, kept, gone, form, status=422)


@require_http_methods(["GET", "POST"])
def merged(request: HttpRequest, merge_id: uuid.UUID) -> HttpResponse:
    """What was merged, and the way to take it apart."""
    user = staff(request)
    require(user, RIGHT)
    row = queries.merge_for(user, merge_id)
    since = () if hasattr(row, "undone") else apart.made_since(row)
    words = pages.words_of(row, since)
    if request.method == "GET":
        record_look(who=user, at=row, as_="opened merge")
        return _merged(request, row, forms.ApartForm(since=since, words=words))
    form = forms.ApartForm(request.POST, since=since, words=words)
    if form.is_valid():
        try:
            said = {"choices": form.choices(), "reason": form.cleaned_data["reason"]}
            apart.unmerge(who=user, merge=row, **said)
            messages.success(request, "The two records stand alone again.", extra_tags="ok")
            return redirect("merged", row.pk)
        except apart.NotApart as problem:
            form.add_error(None, str(problem))
    return _merged(request, row, form, status=422)


def _lists(request: HttpRequest) -> dict[str, object]:
    """What was sent, those of several ticks as lists."""
    return {
        name: values if name == "known" else values[-1] for name, values in request.POST.lists() if values
    }


def _merge(
    request: HttpRequest, kept: Patient, gone: Patient, form: forms.MergeForm, *, status: int = 200
) -> HttpResponse:
    context = {"page": pages.merge_page(kept, gone, form), "form": form}
    return render(request, "merging/merge.html", context, status=status)


def _merged(
    request: HttpRequest, row: PatientMerge, form: forms.ApartForm, *, status: int = 200
) -> HttpResponse:
    context = {"page": pages.apart_page(row, form), "form": form}
    return render(request, "merging/merged.html", context, status=status)
