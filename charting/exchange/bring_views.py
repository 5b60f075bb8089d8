"""Files from elsewhere: brought, shown, done."""

import uuid
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from charting.audit.services import record_look
from charting.exchange import bring_forms, bring_pages, brought
from charting.exchange.bring_queries import file_for
from charting.exchange.brought import RIGHT
from charting.exchange.models import ImportFile
from charting.exchange.plans import NotDone, Reader
from charting.staff.requests import staff
from charting.staff.rights import require


@require_GET
def files(request: HttpRequest) -> HttpResponse:
    """What can be brought, and what was."""
    require(staff(request), RIGHT)
    return render(request, "exchange/files.html", {"page": bring_pages.files_page(staff(request))})


@require_http_methods(["GET", "POST"])
def bring(request: HttpRequest, what: str) -> HttpResponse:
    """Choose a file. Nothing of it is used before what it would do was shown."""
    user = staff(request)
    require(user, RIGHT)
    reader = _reader(what)
    if request.method == "GET":
        return _bring(request, reader, bring_forms.BringForm(reader=reader))
    form = bring_forms.BringForm(request.POST, request.FILES, reader=reader)
    if not form.is_valid():
        return _bring(request, reader, form, status=422)
    name, content = form.cleaned_data["file"]
    file = brought.bring(who=user, what=what, name=name, content=content)
    return redirect(_shown_at(file, form.said()))


@require_http_methods(["GET", "POST"])
def shown(request: HttpRequest, file_id: uuid.UUID) -> HttpResponse:
    """What a file would do; then it is done. What was said of it stands in the address (?dates=iso)."""
    user = staff(request)
    require(user, RIGHT)
    file = file_for(user, file_id)
    said = request.GET.dict()
    if request.method == "GET":
        record_look(who=user, at=file, as_="opened file")
        if file.done_at:
            return render(request, "exchange/done.html", {"page": bring_pages.done_page(user, file)})
        return _shown(request, file, bring_pages.shown_page(user, file, said), bring_forms.SureForm())
    sent = request.POST.dict()
    form = bring_forms.SureForm(request.POST)
    if form.is_valid():
        try:
            brought.do(who=user, file=file, seen=form.cleaned_data["seen"], said=said, sent=sent)
            return redirect("import-shown", file.pk)
        except NotDone as problem:
            form.add_error(None, str(problem))
    return _shown(request, file, bring_pages.shown_page(user, file, said, sent), form, status=422)


@require_POST
def leave(request: HttpRequest, file_id: uuid.UUID) -> HttpResponse:
    """Nothing of the file is taken in, and nothing of it is kept."""
    user = staff(request)
    require(user, RIGHT)
    file = file_for(user, file_id)
    brought.leave(who=user, file=file)
    messages.success(request, f"{file.name}: left. Nothing of it was kept.", extra_tags="ok")
    return redirect("imports")


def _reader(what: str) -> Reader:
    if what not in brought.readers:
        raise Http404("No such kind of file is read here.")
    return brought.readers[what]


def _shown_at(file: ImportFile, said: dict[str, str]) -> str:
    return f"{reverse('import-shown', args=[file.pk])}?{urlencode(said)}"


def _bring(
    request: HttpRequest, reader: Reader, form: bring_forms.BringForm, *, status: int = 200
) -> HttpResponse:
    return render(request, "exchange/bring.html", {"reader": reader, "form": form}, status=status)


def _shown(
    request: HttpRequest,
    file: ImportFile,
    page: bring_pages.ShownPage,
    form: bring_forms.SureForm,
    *,
    status: int = 200,
) -> HttpResponse:
    said = bring_forms.SaidForm(request.GET or None, questions=page.reader.questions)
    context = {"page": page, "form": form, "said": said, "file": file}
    return render(request, "exchange/shown.html", context, status=status)
