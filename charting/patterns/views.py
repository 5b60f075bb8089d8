"""The practice's own patterns: looked at by everybody here, drawn and kept by who has the right."""

import uuid

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from bodymaps import own_file
from charting.audit.services import record_look
from charting.drafts.forms import typed_into
from charting.drafts.queries import draft_of
from charting.drawing.forms import UnreadableRequest, read_sent
from charting.patterns import board as boards
from charting.patterns import carrying, forms, pages, pictures, queries, services
from charting.patterns.models import PatternDrawing, PatternFile
from charting.patterns.services import RIGHT, NotKept
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import require


@require_GET
def every(request: HttpRequest) -> HttpResponse:
    return render(request, "patterns/list.html", {"page": pages.list_page(staff(request))})


@require_GET
def pattern(request: HttpRequest, pattern: str) -> HttpResponse:
    wanted = request.GET.get("version", "")
    number = int(wanted) if wanted.isdecimal() and len(wanted) < 7 else 0
    page = pages.pattern_page(staff(request), pattern, number)
    form = forms.UseForm(initial={"row": page.row})
    return render(request, "patterns/pattern.html", {"page": page, "form": form})


@require_POST
def use(request: HttpRequest, pattern: str) -> HttpResponse:
    """Take a pattern out of use, or bring it back."""
    user = staff(request)
    latest = queries.versions_of(user, pattern)[0]
    require(user, RIGHT)
    form = forms.UseForm(request.POST)
    if form.is_valid():
        seen = next(
            (r for r in queries.versions_of(user, pattern) if r.pk == form.cleaned_data["row"]), latest
        )
        try:
            services.set_use(who=user, row=seen, in_use=not seen.in_use, reason=form.cleaned_data["reason"])
            return redirect("patterns:pattern", pattern)
        except NotKept as problem:
            form.add_error(None, str(problem))
    page = pages.pattern_page(user, pattern)
    form.data = {**form.data, "row": str(page.row)}
    return render(request, "patterns/pattern.html", {"page": page, "form": form}, status=422)


@require_http_methods(["GET", "POST"])
def draw(request: HttpRequest) -> HttpResponse:
    """Say which pattern; then the board opens. ?muscle=<id of a muscle or of an own pattern>."""
    user = staff(request)
    require(user, RIGHT)
    if request.method == "GET":
        form = forms.BeginForm(user=user, initial=forms.BeginForm.usual(request.GET.get("muscle", "")))
        return render(request, "patterns/draw.html", {"form": form})
    form = forms.BeginForm(request.POST, user=user)
    if not form.is_valid():
        return render(request, "patterns/draw.html", {"form": form}, status=422)
    drawing = services.begin(who=user, **form.begins())
    return redirect("patterns:board", drawing.pk)


@require_GET
def board(request: HttpRequest, drawing_id: uuid.UUID) -> HttpResponse:
    drawing = _drawing(request, drawing_id)
    kept = queries.version_kept_of(drawing)
    if kept:
        # Every line drawn on it would be refused.
        return redirect("patterns:pattern", kept.pattern)
    data = boards.board_data(drawing, staff(request), csrf=get_token(request))
    return render(request, "patterns/board.html", {"board": data})


@require_POST
def save(request: HttpRequest, drawing_id: uuid.UUID) -> HttpResponse:
    drawing = _drawing(request, drawing_id)
    try:
        sent = read_sent(request)
    except UnreadableRequest as problem:
        return JsonResponse({"error": str(problem)}, status=problem.status)
    outcome = services.save_events(who=staff(request), drawing=drawing, sent=sent.events)
    return JsonResponse(outcome.as_json())


@require_GET
def words(request: HttpRequest, drawing_id: uuid.UUID) -> HttpResponse:
    """The drawing in sentences, for a board that is read aloud."""
    drawn = queries.drawn(_drawing(request, drawing_id))
    return JsonResponse({"sentences": list(pictures.sentences_of(drawn.zones))})


@require_GET
def key(request: HttpRequest, drawing_id: uuid.UUID) -> HttpResponse:
    """The device key of one's own board again, for what it left unsent."""
    drawing = _drawing(request, drawing_id)
    record_look(who=staff(request), at=drawing, as_="opened device key")
    return JsonResponse(boards.device_of(drawing, staff(request)))


@require_http_methods(["GET", "POST"])
def finish(request: HttpRequest, drawing_id: uuid.UUID) -> HttpResponse:
    """After drawing: how it looks, where it comes from and why; then it is kept as a version."""
    user, drawing = staff(request), _drawing(request, drawing_id)
    kept = queries.version_kept_of(drawing)
    if kept:
        return redirect("patterns:pattern", kept.pattern)
    page = pages.finish_page(drawing)
    if request.method == "GET":
        return _finish(request, drawing, page)
    form = forms.KeepForm(request.POST, is_left=page.is_left)
    if form.is_valid():
        try:
            row = services.keep(who=user, drawing=drawing, **form.kept())
            messages.success(
                request, f"Kept as version {row.number}. It is ranked from now on.", extra_tags="ok"
            )
            return redirect("patterns:pattern", row.pattern)
        except NotKept as problem:
            form.add_error(None, str(problem))
            page = pages.finish_page(drawing)
            # What is shown now is what the next try follows.
            form.data = {**form.data, "after": str(page.number - 1)}
    context = {"page": page, "form": form, "draft_key": services.draft_key(drawing)}
    return render(request, "patterns/finish.html", context, status=422)


def _finish(request: HttpRequest, drawing: PatternDrawing, page: pages.FinishPage) -> HttpResponse:
    draft_key = services.draft_key(drawing)
    draft = draft_of(staff(request), draft_key)
    usual = forms.KeepForm.usual(queries.latest_version(drawing.practice, drawing.pattern))
    blank = forms.KeepForm(is_left=page.is_left)
    typed = {**usual, **typed_into(blank, draft), "after": usual["after"]}
    form = forms.KeepForm(initial=typed, is_left=page.is_left)
    context = {"page": page, "form": form, "draft": draft, "draft_key": draft_key}
    return render(request, "patterns/finish.html", context)


@require_GET
def export(request: HttpRequest) -> HttpResponse:
    """Every pattern in use, in one file."""
    user = staff(request)
    rows = queries.in_use(user.practice)
    response = HttpResponse(
        own_file.write(queries.as_own(row) for row in rows), content_type="application/json; charset=utf-8"
    )
    day = timezone.localdate().isoformat()
    response["Content-Disposition"] = f'attachment; filename="own-patterns-{day}.json"'
    return response


@require_http_methods(["GET", "POST"])
def bring(request: HttpRequest) -> HttpResponse:
    """Choose a file. Nothing of it is used before what it would do was shown."""
    user = staff(request)
    require(user, RIGHT)
    if request.method == "GET":
        return render(request, "patterns/import.html", {"form": forms.FileForm()})
    form = forms.FileForm(request.POST, request.FILES)
    if not form.is_valid():
        return render(request, "patterns/import.html", {"form": form}, status=422)
    name, text = form.cleaned_data["file"]
    file = carrying.bring(who=user, name=name, text=text)
    return redirect("patterns:planned", file.pk)


@require_http_methods(["GET", "POST"])
def planned(request: HttpRequest, file_id: uuid.UUID) -> HttpResponse:
    """What a file would do; then it is done."""
    user = staff(request)
    file = queries.file_for(user, file_id)
    require(user, RIGHT)
    if request.method == "GET":
        return _planned(request, file, forms.SureForm())
    form = forms.SureForm(request.POST)
    if form.is_valid():
        try:
            count = carrying.import_file(who=user, file=file, **form.cleaned_data)
            done = (
                f"{count} pattern{'' if count == 1 else 's'} imported."
                if count
                else "Nothing had to be imported."
            )
            messages.success(request, done, extra_tags="ok")
            return redirect("patterns:list")
        except NotKept as problem:
            form.add_error(None, str(problem))
    return _planned(request, file, form, status=422)


def _planned(
    request: HttpRequest, file: PatternFile, form: forms.SureForm, *, status: int = 200
) -> HttpResponse:
    context = {"page": pages.import_page(file), "form": form}
    return render(request, "patterns/planned.html", context, status=status)


@require_http_methods(["GET", "POST"])
def writers(request: HttpRequest) -> HttpResponse:
    """Managers say who may write patterns."""
    user = staff(request)
    require(user, "grant rights")
    if request.method == "GET":
        return render(request, "patterns/writers.html", {"writers": pages.writers(user)})
    form = forms.GrantForm(request.POST)
    if not form.is_valid():
        raise Http404("There is no such clinician.")
    chosen = get_object_or_404(User, practice=user.practice, pk=form.cleaned_data["user"])
    services.grant(who=user, user=chosen, writes=form.cleaned_data["writes"])
    return redirect("patterns:writers")


def _drawing(request: HttpRequest, drawing_id: uuid.UUID) -> PatternDrawing:
    """One drawing of the practice, for who may draw it. Raises Http404, PermissionDenied."""
    drawing = queries.drawing_for(staff(request), drawing_id)
    require(staff(request), RIGHT)
    return drawing
