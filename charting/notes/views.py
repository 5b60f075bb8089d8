"""Write the note, sign it, add to it, print it."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import draft_of
from charting.notes import pages, queries, services
from charting.notes.forms import AddendumForm, NoteForm, PaperForm, SignForm
from charting.notes.models import NoteText, SignedNote
from charting.report import content as report
from charting.report import pdf
from charting.staff.models import Paper
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def note(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    signed = queries.signed_note_of(visit)
    if request.method == "POST":
        return _save(request, visit)
    record_look(who=staff(request), at=visit, as_="opened note")
    if signed:
        return _signed(request, signed, AddendumForm())
    text = queries.text_of(visit)
    draft = draft_of(staff(request), services.draft_key(visit))
    saved = {"assessment": text.assessment, "plan": text.plan, "version": text.version}
    form = NoteForm(initial={**saved, **typed_into(NoteForm(), draft)})
    return _open(request, visit, form, draft=draft)


@require_http_methods(["GET", "POST"])
def sign(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "GET":
        if visit.is_signed:
            return redirect("note", visit.pk)
        record_look(who=staff(request), at=visit, as_="opened note to sign")
        return _to_sign(request, visit, SignForm(initial={"version": queries.text_of(visit).version}))
    form = SignForm(request.POST)
    if not form.is_valid():
        return _to_sign(request, visit, form, status=422)
    try:
        services.sign(who=staff(request), visit=visit, **form.cleaned_data)
    except services.AlreadySigned as problem:
        messages.warning(request, str(problem), extra_tags="warn")
    except services.NotSigned as problem:
        form.add_error(None, str(problem))
        return _to_sign(request, visit, form, status=422)
    except Stale:
        messages.warning(
            request, "The note was changed while you read it. Read it again before you sign.", "warn"
        )
        return redirect("note-sign", visit.pk)
    return redirect("note", visit.pk)


@require_POST
def addendum(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    signed = _signed_or_404(visit)
    form = AddendumForm(request.POST)
    if form.is_valid():
        try:
            services.add_addendum(who=staff(request), note=signed, **form.cleaned_data)
            return redirect("note", visit.pk)
        except services.NotSigned as problem:
            form.add_error(None, str(problem))
    return _signed(request, signed, form, status=422)


@require_GET
def paper(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """The note as PDF: signed, exactly the stored bytes; not signed, a draft made now."""
    user = staff(request)
    visit = open_visit(user, visit_id)
    form = PaperForm(request.GET, papers=Paper.choices)
    if not form.is_valid():
        raise Http404("no such paper")
    size = form.cleaned_data["paper"] or visit.patient.practice.paper
    signed = queries.signed_note_of(visit)
    record_look(who=user, at=visit, as_="printed" if signed else "printed draft")
    if signed:
        made = bytes(queries.paper_of(signed, paper=size, addenda=form.cleaned_data["addenda"]).pdf)
    else:
        text = queries.text_of(visit)
        made = pdf.render(report.assemble(visit, assessment=text.assessment, plan=text.plan), paper=size)
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{_file_name(visit, bool(signed))}"'
    return response


def _save(request: HttpRequest, visit: Visit) -> HttpResponse:
    form = NoteForm(request.POST)
    if not form.is_valid():
        return _open(request, visit, form, status=422)
    try:
        services.save_text(who=staff(request), visit=visit, **form.cleaned_data)
    except Stale:
        current = queries.text_of(visit)
        return _open(request, visit, _again(form, current), other=current, status=409)
    if "sign" in request.POST:
        return redirect("note-sign", visit.pk)
    messages.success(request, "The note is saved.", extra_tags="ok")
    return redirect("note", visit.pk)


def _again(form: NoteForm, current: NoteText) -> NoteForm:
    """The same words with the version that stands now: saving them again is then a decision."""
    return NoteForm(initial={**form.cleaned_data, "version": current.version})


def _open(
    request: HttpRequest,
    visit: Visit,
    form: NoteForm,
    *,
    draft: Draft | None = None,
    other: NoteText | None = None,
    status: int = 200,
) -> HttpResponse:
    page = pages.open_note(visit, staff(request), draft=draft, other=other)
    return render(request, "notes/note.html", {"page": page, "form": form, "visit": visit}, status=status)


def _to_sign(request: HttpRequest, visit: Visit, form: SignForm, *, status: int = 200) -> HttpResponse:
    page = pages.open_note(visit, staff(request))
    return render(request, "notes/sign.html", {"page": page, "form": form, "visit": visit}, status=status)


def _signed(
    request: HttpRequest, signed: SignedNote, form: AddendumForm, *, status: int = 200
) -> HttpResponse:
    page = pages.signed_page(signed, staff(request))
    context = {"page": page, "form": form, "visit": signed.visit}
    return render(request, "notes/signed.html", context, status=status)


def _signed_or_404(visit: Visit) -> SignedNote:
    signed = queries.signed_note_of(visit)
    if signed is None:
        raise Http404("only a signed note has addenda")
    return signed


def _file_name(visit: Visit, signed: bool) -> str:
    """visit-note-1042-2026-11-25.pdf: no name of a person in a file name."""
    day = visit.started_at.astimezone(visit.patient.practice.zone)
    return f"visit-note-{visit.patient.record_number}-{day:%Y-%m-%d}{'' if signed else '-draft'}.pdf"
