"""The consent texts of a practice: read, changed, taken out of use, and what they said before."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.consent import wording, wording_pages
from charting.consent.wording import NothingChanged, WordedMeanwhile, wording_of
from charting.consent.wording_forms import UseForm, WordingForm
from charting.consent.wording_pages import EditPage, TextPage
from charting.drafts.queries import as_form_data, draft_of
from charting.staff.models import Practice
from charting.staff.requests import staff
from charting.staff.rights import require


@require_GET
def texts(request: HttpRequest) -> HttpResponse:
    page = wording_pages.texts_page(staff(request), _practice(request))
    return render(request, "consent/texts.html", {"page": page})


@require_GET
def text(request: HttpRequest, text_id: str) -> HttpResponse:
    found = wording_of(_practice(request), text_id)
    return _text(request, wording_pages.text_page(staff(request), found))


@require_GET
def version(request: HttpRequest, text_id: str, number: int) -> HttpResponse:
    page = wording_pages.version_page(wording_of(_practice(request), text_id), number)
    return render(request, "consent/version.html", {"page": page})


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, text_id: str) -> HttpResponse:
    require(staff(request), wording.RIGHT)
    found = wording_of(_practice(request), text_id)
    if request.method == "POST":
        return _save(request, text_id, WordingForm(request.POST))
    draft = draft_of(staff(request), wording.draft_key(text_id))
    words = found.release if "release" in request.GET else found.text
    initial = {**WordingForm.of(words), "based_on": found.text.version}
    typed = as_form_data(draft).dict() if draft else {}
    return _edit(request, wording_pages.edit_page(found, WordingForm(initial={**initial, **typed}), draft))


def _save(request: HttpRequest, text_id: str, form: WordingForm) -> HttpResponse:
    found = wording_of(_practice(request), text_id)
    if not form.is_valid():
        return _edit(request, wording_pages.edit_page(found, form), status=422)
    if "preview" in request.POST:
        return _edit(request, wording_pages.preview_page(found, form))
    try:
        row = wording.reword(who=staff(request), text_id=text_id, **form.worded())
    except NothingChanged as problem:
        form.add_error(None, str(problem))
        return _edit(request, wording_pages.edit_page(found, form), status=422)
    except WordedMeanwhile as problem:
        messages.warning(request, str(problem), extra_tags="warn")
        return _edit(request, wording_pages.clash_page(problem.current, form), status=409)
    said = f"{row.title}: version {row.number} is signed from now on."
    messages.success(request, said, extra_tags="ok")
    return redirect("consent-text", text_id)


@require_POST
def use(request: HttpRequest, text_id: str) -> HttpResponse:
    require(staff(request), wording.RIGHT)
    found = wording_of(_practice(request), text_id)
    form = UseForm(request.POST)
    if not form.is_valid():
        return _text(request, wording_pages.text_page(staff(request), found, form), status=422)
    said = {"based_on": form.cleaned_data["based_on"], "reason": form.cleaned_data["reason"]}
    try:
        wording.use(who=staff(request), text_id=text_id, in_use=not found.in_use, **said)
    except (NothingChanged, WordedMeanwhile) as problem:
        messages.warning(request, str(problem), extra_tags="warn")
        again = UseForm(initial={**said, "based_on": found.text.version})
        return _text(request, wording_pages.text_page(staff(request), found, again), status=409)
    state = "out of use" if found.in_use else "in use again"
    messages.success(request, f"{found.text.title}: {state}.", extra_tags="ok")
    return redirect("consent-text", text_id)


def _practice(request: HttpRequest) -> Practice:
    practice = staff(request).practice
    if practice is None:
        raise PermissionDenied("Only a practice has texts of its own.")
    return practice


def _text(request: HttpRequest, page: TextPage, *, status: int = 200) -> HttpResponse:
    return render(request, "consent/text.html", {"page": page}, status=status)


def _edit(request: HttpRequest, page: EditPage, *, status: int = 200) -> HttpResponse:
    return render(request, "consent/edit.html", {"page": page}, status=status)
