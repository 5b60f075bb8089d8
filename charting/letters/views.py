"""Letters about a person: list, write, read and sign, print."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.episodes.queries import episode_of
from charting.letters import content, editing, pages, queries, services
from charting.letters.editing import Typed
from charting.letters.forms import BeginForm, PaperForm
from charting.letters.gathered import gather
from charting.letters.models import Letter
from charting.notes.forms import SignForm
from charting.notes.password import NotSigned
from charting.report import pdf
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.versioning import Stale


@require_http_methods(["GET", "POST"])
def letters(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    """The list; a POST begins a letter, or goes on with the one of that kind."""
    patient = queries.chart_of(staff(request), patient_id)
    if request.method == "POST":
        return _begin(request, patient_id)
    record_look(who=staff(request), at=patient, as_="opened letters")
    page = pages.letters_page(staff(request), patient)
    return render(request, "letters/letters.html", {"page": page, "patient": patient})


def _begin(request: HttpRequest, patient_id: uuid.UUID) -> HttpResponse:
    require(staff(request), "treat")
    form = BeginForm(request.POST)
    if not form.is_valid():
        messages.warning(request, "Choose which letter, and which episode it is about.", "warn")
        return redirect("letters", patient_id)
    episode = episode_of(staff(request), form.cleaned_data["episode"])
    if episode.patient_id != patient_id:
        raise Http404("no such episode of this person")
    letter = services.begin(who=staff(request), episode=episode, kind=form.cleaned_data["kind"])
    return redirect("letter", patient_id, letter.pk)


@require_http_methods(["GET", "POST"])
def letter(request: HttpRequest, patient_id: uuid.UUID, letter_id: uuid.UUID) -> HttpResponse:
    row = queries.letter_of(staff(request), patient_id, letter_id)
    if request.method == "POST":
        return _save(request, row)
    record_look(who=staff(request), at=row.patient, as_="opened letter")
    signed = queries.signed_of(row)
    if signed:
        page = pages.signed_page(row, signed)
        return render(request, "letters/signed.html", {"page": page, "patient": row.patient})
    return _write(request, row)


def _save(request: HttpRequest, row: Letter) -> HttpResponse:
    require(staff(request), "treat")
    typed = editing.read(request.POST.dict(), row.kind)
    if typed.wrong:
        return _write(request, row, typed, status=422)
    try:
        services.save(who=staff(request), letter=row, typed=typed)
    except Stale:
        now = queries.letter_of(staff(request), row.patient_id, row.pk)
        again = Typed(now.version, typed.to_name, typed.to_address, typed.edits)
        return _write(request, now, again, other=now, status=409)
    except services.Closed as problem:
        messages.warning(request, f"{problem} Your words were not kept in it.", "warn")
        return redirect("letters", row.patient_id)
    if "sign" in request.POST:
        return redirect("letter-sign", row.patient_id, row.pk)
    messages.success(request, "The letter is saved.", extra_tags="ok")
    return redirect("letter", row.patient_id, row.pk)


@require_http_methods(["GET", "POST"])
def sign(request: HttpRequest, patient_id: uuid.UUID, letter_id: uuid.UUID) -> HttpResponse:
    row = queries.letter_of(staff(request), patient_id, letter_id)
    if request.method == "GET":
        if row.signed_at:
            return redirect("letter", patient_id, letter_id)
        record_look(who=staff(request), at=row.patient, as_="opened letter to sign")
        return _to_sign(request, row)
    require(staff(request), "sign")
    form = SignForm(request.POST)
    if not form.is_valid():
        return _to_sign(request, row, form, status=422)
    try:
        services.sign(who=staff(request), letter=row, **form.cleaned_data)
    except NotSigned as problem:
        form.add_error(None, str(problem))
        return _to_sign(request, row, form, status=422)
    except Stale:
        messages.warning(
            request, "The record or the letter was changed meanwhile. Read it again before you sign.", "warn"
        )
        return redirect("letter-sign", patient_id, letter_id)
    return redirect("letter", patient_id, letter_id)


@require_POST
def discard(request: HttpRequest, patient_id: uuid.UUID, letter_id: uuid.UUID) -> HttpResponse:
    row = queries.letter_of(staff(request), patient_id, letter_id)
    try:
        services.discard(who=staff(request), letter=row)
    except services.Closed as problem:
        messages.warning(request, str(problem), "warn")
        return redirect("letter", patient_id, letter_id)
    messages.success(request, "The letter is discarded.", extra_tags="ok")
    return redirect("letters", patient_id)


@require_GET
def paper(request: HttpRequest, patient_id: uuid.UUID, letter_id: uuid.UUID) -> HttpResponse:
    """Signed, exactly the stored bytes; not signed, a draft made now of the words that are kept."""
    user = staff(request)
    row = queries.letter_of(user, patient_id, letter_id)
    form = PaperForm(request.GET)
    if not form.is_valid():
        raise Http404("no such paper")
    size = form.cleaned_data["paper"] or row.patient.practice.paper
    signed = queries.signed_of(row)
    record_look(who=user, at=row.patient, as_="printed letter" if signed else "printed draft of letter")
    if signed:
        return _as_pdf(bytes(queries.paper_of(signed, size).pdf), _file_name(row))
    made = content.assemble(gather(user, row.episode), row)
    return _as_pdf(pdf.render_letter(made, paper=size), f"{_file_name(row)}-draft")


@require_GET
def issued(request: HttpRequest, patient_id: uuid.UUID, issued_id: int) -> HttpResponse:
    """A copy of a consent or a home programme as it was given out, byte for byte."""
    row = queries.issued_paper(staff(request), patient_id, issued_id)
    patient = queries.chart_of(staff(request), patient_id)
    record_look(who=staff(request), at=patient, as_="printed issued paper")
    return _as_pdf(bytes(row.pdf), f"{row.kind}-{patient.record_number}-{row.pk}")


def _write(
    request: HttpRequest,
    row: Letter,
    typed: Typed | None = None,
    *,
    other: Letter | None = None,
    status: int = 200,
) -> HttpResponse:
    page = pages.letter_page(staff(request), row, typed, other=other)
    return render(request, "letters/letter.html", {"page": page, "patient": row.patient}, status=status)


def _to_sign(
    request: HttpRequest, row: Letter, form: SignForm | None = None, *, status: int = 200
) -> HttpResponse:
    page = pages.sign_page(staff(request), row)
    form = form or SignForm(initial={"read": content.fingerprint(page.content)})
    context = {"page": page, "form": form, "patient": row.patient}
    return render(request, "letters/sign.html", context, status=status)


def _as_pdf(made: bytes, name: str) -> HttpResponse:
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _file_name(row: Letter) -> str:
    """progress-1042-2026-11-25: no name of a person in a file name."""
    on = row.signed_at or row.begun_at
    return f"{row.kind}-{row.patient.record_number}-{on.astimezone(row.patient.practice.zone):%Y-%m-%d}"
