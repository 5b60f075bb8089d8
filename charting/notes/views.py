"""Write the note, sign it, add to it, print it."""

import uuid

from django.contrib import messages
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.models import Draft
from charting.drafts.queries import as_form_data, draft_of
from charting.drafts.services import keep
from charting.notes import pages, queries, services
from charting.notes.forms import NoteForm, PaperForm, SignForm
from charting.notes.later_forms import EntryForm
from charting.notes.later_pages import later_of
from charting.notes.later_services import NotInNote, write_later
from charting.notes.models import NoteSentence, NoteText, SignedNote
from charting.notes.sentences_forms import problems_in, read
from charting.notes.sentences_pages import Typed
from charting.notes.sentences_queries import block_of
from charting.notes.sentences_services import Said
from charting.report import content as report
from charting.report import pdf
from charting.report.soap import SECTIONS
from charting.staff.models import Paper
from charting.staff.requests import staff
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit
from charting.visits.services import VisitSigned


@require_http_methods(["GET", "POST"])
def note(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "POST":
        return _save(request, visit)
    signed = queries.signed_note_of(visit) if visit.is_signed else None
    record_look(who=staff(request), at=visit, as_="opened note")
    draft = draft_of(staff(request), services.draft_key(visit))
    if signed:
        return _signed(request, signed, draft=draft)
    text = queries.text_of(visit)
    saved = {name: getattr(text, name) for name in NoteForm.base_fields}
    form = NoteForm(initial={**saved, **typed_into(NoteForm(), draft)})
    typed = Typed.of(read(as_form_data(draft)) if draft else ())
    return _open(request, visit, form, typed=typed, draft=draft)


@require_http_methods(["GET", "POST"])
def sign(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "GET":
        if visit.is_signed:
            return redirect("note", visit.pk)
        record_look(who=staff(request), at=visit, as_="opened note to sign")
        return _to_sign(request, visit)
    form = SignForm(request.POST)
    if not form.is_valid():
        return _to_sign(request, visit, form, status=422)
    try:
        services.sign(who=staff(request), visit=visit, **form.cleaned_data)
    except services.AlreadySigned as problem:
        # A second tap of the same person needs no word.
        if problem.note is None or problem.note.signed_by_id != staff(request).pk:
            messages.warning(request, str(problem), extra_tags="warn")
    except services.NotSigned as problem:
        form.add_error(None, str(problem))
        return _to_sign(request, visit, form, status=422)
    except Stale:
        messages.warning(
            request, "Something in this visit was changed meanwhile. Read it again before you sign.", "warn"
        )
        return redirect("note-sign", visit.pk)
    return redirect("note", visit.pk)


@require_POST
def addendum(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    """Any of the four things that are written into a signed note."""
    visit = open_visit(staff(request), visit_id)
    signed = _signed_or_404(visit)
    form = EntryForm(request.POST, patient=visit.patient, accepted=later_of(signed).accepted)
    if form.is_valid():
        try:
            said = {"entry": form.entry(), "password": form.cleaned_data["password"]}
            row = write_later(who=staff(request), note=signed, **said)
            messages.success(request, f"{row.get_kind_display()} {row.number} is signed.", extra_tags="ok")
            return redirect("note", visit.pk)
        except NotInNote as problem:
            form.add_error("wrong", str(problem))
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
        made = bytes(queries.paper_of(signed, paper=size, **form.of_paper()).pdf)
    else:
        made = pdf.render(queries.recorded_in(visit), paper=size)
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{_file_name(visit, bool(signed))}"'
    return response


def _save(request: HttpRequest, visit: Visit) -> HttpResponse:
    form, said = NoteForm(request.POST), read(request.POST)
    errors = problems_in(said)
    if not form.is_valid() or errors:
        return _open(request, visit, form, typed=Typed.of(said, errors), status=422)
    if "put" in request.POST:
        return _open(request, visit, _with_block(request, form), typed=Typed.of(said))
    try:
        services.save_text(who=staff(request), visit=visit, **form.cleaned_data, sentences=said)
    except Stale as problem:
        return _clash(request, visit, form, said, problem.current)
    except VisitSigned:
        return _too_late(request, visit, said)
    if "sign" in request.POST:
        return redirect("note-sign", visit.pk)
    messages.success(request, "The note is saved.", extra_tags="ok")
    return redirect("note", visit.pk)


def _clash(
    request: HttpRequest, visit: Visit, form: NoteForm, said: tuple[Said, ...], current: Model
) -> HttpResponse:
    """Somebody saved meanwhile: theirs stands beside what was typed, and nothing of either is lost."""
    if isinstance(current, NoteSentence):
        return _open(request, visit, form, typed=Typed.of(said, theirs=current), status=409)
    now = queries.text_of(visit)
    return _open(request, visit, _again(form, now), typed=Typed.of(said), other=now, status=409)


def _with_block(request: HttpRequest, form: NoteForm) -> NoteForm:
    """Without script: the words of a block after those typed, nothing saved yet."""
    number = request.POST["put"]
    block = block_of(staff(request), int(number) if number.isdecimal() and len(number) < 10 else 0)
    typed = form.cleaned_data[block.section].rstrip()
    words = "\n".join(part for part in (typed, block.words) if part)
    return NoteForm(initial={**form.cleaned_data, block.section: words})


def _too_late(request: HttpRequest, visit: Visit, said: tuple[Said, ...]) -> HttpResponse:
    """Somebody signed while this was written: the words are kept, and offered as an addendum."""
    typed = {name: request.POST.getlist(name) for name in SECTIONS}
    for one in said:
        if one.is_changed and not one.taken_out:
            typed[one.section] = ["\n".join(part for part in (*typed[one.section], one.words) if part)]
    keep(who=staff(request), key=services.draft_key(visit), data=typed)
    messages.warning(
        request, "This visit was signed meanwhile. Your words stand below: add them, or discard them.", "warn"
    )
    return redirect("note", visit.pk)


def _again(form: NoteForm, current: NoteText) -> NoteForm:
    """The same words with the version that stands now: saving them again is then a decision."""
    return NoteForm(initial={**form.cleaned_data, "version": current.version})


def _open(
    request: HttpRequest,
    visit: Visit,
    form: NoteForm,
    *,
    typed: Typed | None = None,
    draft: Draft | None = None,
    other: NoteText | None = None,
    status: int = 200,
) -> HttpResponse:
    page = pages.open_note(visit, staff(request), form=form, typed=typed, draft=draft, other=other)
    return render(request, "notes/note.html", {"page": page, "form": form, "visit": visit}, status=status)


def _to_sign(
    request: HttpRequest, visit: Visit, form: SignForm | None = None, *, status: int = 200
) -> HttpResponse:
    page = pages.open_note(visit, staff(request))
    form = form or SignForm(initial={"read": report.fingerprint(page.content)})
    return render(request, "notes/sign.html", {"page": page, "form": form, "visit": visit}, status=status)


def _signed(
    request: HttpRequest,
    signed: SignedNote,
    form: EntryForm | None = None,
    *,
    draft: Draft | None = None,
    status: int = 200,
) -> HttpResponse:
    page = pages.signed_page(signed, staff(request), draft=draft)
    if form is None:
        patient, accepted = signed.visit.patient, page.later.accepted
        form = EntryForm(initial=EntryForm.left_over(draft, patient), patient=patient, accepted=accepted)
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
