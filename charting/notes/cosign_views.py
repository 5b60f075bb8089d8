"""Read and co-sign what a trainee signed; say who is a trainee."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.drafts.services import keep
from charting.notes import cosign_pages as pages
from charting.notes import cosign_services as services
from charting.notes import queries
from charting.notes.cosign_forms import CosignForm, TraineeForm
from charting.notes.cosign_queries import cosign_of
from charting.notes.cosign_services import AlreadyCosigned, Changed
from charting.notes.models import SignedNote
from charting.notes.password import NotSigned
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def cosign(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    user = staff(request)
    note = queries.signed_note_of(open_visit(user, visit_id))
    if note is None or not note.needs_cosign:
        raise Http404("nothing to co-sign")
    require(user, "co-sign")
    if request.method == "GET":
        return _to_read(request, note)
    form = CosignForm(request.POST)
    if not form.is_valid():
        return _page(request, note, form, status=422)
    try:
        services.cosign(who=user, note=note, **form.cleaned_data)
    except AlreadyCosigned as problem:
        # A second tap of the same person needs no word.
        if problem.row is None or problem.row.signed_by_id != user.pk:
            messages.warning(request, str(problem), extra_tags="warn")
    except Changed as problem:
        keep(who=user, key=services.draft_key(note), data={"words": [form.cleaned_data["words"]]})
        messages.warning(request, str(problem), extra_tags="warn")
        return redirect("note-cosign", note.visit_id)
    except NotSigned as problem:
        form.add_error(None, str(problem))
        return _page(request, note, form, status=422)
    return redirect("note", note.visit_id)


@require_http_methods(["GET", "POST"])
def trainees(request: HttpRequest) -> HttpResponse:
    """Managers say who is a trainee."""
    user = staff(request)
    require(user, "grant rights")
    if request.method == "GET":
        return render(request, "notes/trainees.html", {"clinicians": pages.clinicians(user)})
    form = TraineeForm(request.POST)
    if not form.is_valid():
        raise Http404("There is no such clinician.")
    chosen = get_object_or_404(User, practice=user.practice, pk=form.cleaned_data["user"])
    services.mark_trainee(who=user, user=chosen, is_trainee=form.cleaned_data["is_trainee"])
    return redirect("trainees")


def _to_read(request: HttpRequest, note: SignedNote) -> HttpResponse:
    """To the note itself where there is nothing for this person to sign."""
    user = staff(request)
    if not cosign_of(note, user).may:
        return redirect("note", note.visit_id)
    record_look(who=user, at=note.visit, as_="opened note to co-sign")
    draft = draft_of(user, services.draft_key(note))
    typed = {name: said for name, said in typed_into(CosignForm(), draft).items() if name == "words"}
    shown = {"read": note.content_sha256, "entries": note.addenda.count()}
    return _page(request, note, CosignForm(initial={**typed, **shown}))


def _page(request: HttpRequest, note: SignedNote, form: CosignForm, *, status: int = 200) -> HttpResponse:
    draft = draft_of(staff(request), services.draft_key(note)) if status == 200 else None
    context = {"page": pages.cosign_page(note, draft), "form": form, "visit": note.visit}
    return render(request, "notes/cosign.html", context, status=status)
