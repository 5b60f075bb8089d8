"""Texts of consent, read by the patient alone, part by part. Nothing is signed here."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from charting.consent.queries import texts_in_use
from charting.consent.texts import ConsentText
from charting.handover.access import hand_over_behind
from charting.handover.models import HandOver
from charting.handover.parts import before, parts_of, place_of, texts_of
from charting.intake import services
from charting.intake.forms import QuestionForm
from charting.intake.pages import ReadPage, read_end_page
from charting.intake.queries import readings_of
from charting.telling.device import keeping, over, wants_json
from charting.telling.queries import DONE
from charting.telling.services import OVER, Closed, arrive

Texts = tuple[ConsentText, ...]


def texts_for(held: HandOver) -> Texts:
    """What this hand-over gives to read, as the practice words it now; what is in use no more is left out."""
    known = texts_in_use(held.visit.patient.practice)
    return tuple(known[text_id] for text_id in texts_of(held) if text_id in known)


@login_not_required
@require_GET
def reading(request: HttpRequest) -> HttpResponse:
    """The first part of the first text."""
    held = _held(request)
    if not isinstance(held, HandOver):
        return held
    texts = texts_for(held)
    if not texts:
        return redirect("board-done")
    return redirect("intake-read", texts[0].id, 1)


@login_not_required
@require_http_methods(["GET", "POST"])
def part(request: HttpRequest, text_id: str, part: int) -> HttpResponse:
    """One part of a text: shown; what is asked about it kept."""
    held = _held(request)
    if not isinstance(held, HandOver):
        return held
    texts = texts_for(held)
    text = next((each for each in texts if each.id == text_id), None)
    if text is None or not 1 <= part <= len(text.parts):
        return redirect("intake-reading")
    if request.method == "POST":
        return _save(request, held, texts, text, part)
    telling = arrive(held=held, at=services.place_of_part(text.id, part))
    typed = (telling.typed or {}) if telling else {}
    form = QuestionForm(initial={"question": typed.get(services.place_of_part(text.id, part), "")})
    return _page(request, held, texts, text, part, form)


@login_not_required
@require_http_methods(["GET", "POST"])
def end(request: HttpRequest) -> HttpResponse:
    """After the last part: what happens next."""
    held = _held(request)
    if not isinstance(held, HandOver):
        return held
    texts = texts_for(held)
    if request.method == "POST":
        is_back = request.POST.get("go") == "back" and texts
        arrive(held=held, at="reading/end" if is_back else DONE)
        return (
            redirect("intake-read", texts[-1].id, len(texts[-1].parts)) if is_back else redirect("board-done")
        )
    arrive(held=held, at="reading/end")
    page = read_end_page(held, texts, readings_of(held.visit))
    return render(request, "intake/read_end.html", {"page": page})


def _held(request: HttpRequest) -> HandOver | HttpResponse:
    """The hand-over that reads here, or what is answered instead."""
    held = hand_over_behind(request)
    if held is None:
        return over(request, OVER)
    if held.confirmed_at is None or "reading" not in parts_of(held):
        return over(request, OVER) if request.method == "POST" else redirect("board")
    return held


def _save(request: HttpRequest, held: HandOver, texts: Texts, text: ConsentText, part: int) -> HttpResponse:
    form = QuestionForm(request.POST)
    go = request.POST.get("go", "") if form.is_valid() else "stay"
    next_url, at = _next(held, texts, text, part, go)
    question = form.cleaned_data.get("question", "")
    moves = go in ("next", "back", "note")
    try:
        telling = services.save_reading(
            held=held, text=text, part=part, question=question, at=at, is_noted=moves
        )
        if go == "next" and part == len(text.parts):
            services.read_through(held=held, text=text, at=at)
    except Closed as problem:
        if wants_json(request):
            return JsonResponse({"error": str(problem)}, status=403)
        return _page(request, held, texts, text, part, form, status=403, closed=str(problem))
    wrong = {name: errors[0] for name, errors in form.errors.items()}
    if wants_json(request):
        said = {"saved": telling.version, "next": next_url, "wrong": wrong}
        return JsonResponse(said, status=422 if wrong else 200)
    return _page(request, held, texts, text, part, form, status=422) if wrong else redirect(next_url)


def _next(held: HandOver, texts: Texts, text: ConsentText, part: int, go: str) -> tuple[str, str]:
    """Where a button leads, and what is then open."""
    steps = [(each.id, number) for each in texts for number in range(1, len(each.parts) + 1)]
    place = steps.index((text.id, part)) + {"next": 1, "back": -1}.get(go, 0)
    if place < 0:
        return before(held, "reading"), "drawing"
    if place == len(steps):
        return reverse("intake-read-end"), "reading/end"
    return reverse("intake-read", args=steps[place]), services.place_of_part(*steps[place])


def _page(
    request: HttpRequest,
    held: HandOver,
    texts: Texts,
    text: ConsentText,
    part: int,
    form: QuestionForm,
    *,
    status: int = 200,
    closed: str = "",
) -> HttpResponse:
    steps = [(each.id, number) for each in texts for number in range(1, len(each.parts) + 1)]
    place = steps.index((text.id, part)) + 1
    found = readings_of(held.visit).get(text.id)
    page = ReadPage(
        text=text,
        part=text.parts[part - 1],
        number=part,
        of=len(text.parts),
        place=place_of(held, "reading", place, len(steps) + 1),
        form=form,
        noted=found.questions if found and found.version == text.version else (),
        closed=closed,
    )
    return render(request, "intake/read.html", {"page": page, "device": keeping(held)}, status=status)
