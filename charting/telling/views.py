"""The questions in the hands of the patient, opened by the token of a hand-over."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from charting.handover.access import hand_over_behind
from charting.handover.models import HandOver
from charting.handover.parts import SCORES, after, only_changes
from charting.telling import queries, screens, services
from charting.telling.device import keeping, over, wants_json
from charting.telling.forms import AnswersForm, initial_of
from charting.telling.models import Telling
from charting.telling.pages import screen_page
from charting.telling.screens import Screen

Screens = tuple[Screen, ...]


@login_not_required
@require_GET
def tell(request: HttpRequest) -> HttpResponse:
    """The screen where this device, or the one before it, left off."""
    held = hand_over_behind(request)
    if held is None:
        return over(request, services.OVER)
    if held.confirmed_at is None or not held.tells:
        return redirect("board")
    telling = services.arrive(held=held)
    asked = _asked(held, telling)
    at = telling.at if telling and telling.at in {screen.id for screen in asked} else asked[0].id
    return redirect("tell-screen", at)


@login_not_required
@require_http_methods(["GET", "POST"])
def screen(request: HttpRequest, screen_id: str) -> HttpResponse:
    """One screen of questions: shown, saved."""
    held = hand_over_behind(request)
    if held is None:
        return over(request, services.OVER)
    if held.confirmed_at is None or not held.tells:
        return over(request, services.OVER) if request.method == "POST" else redirect("board")
    telling = services.arrive(held=held)
    asked = _asked(held, telling)
    here = next((each for each in asked if each.id == screen_id), None)
    if here is None:
        return redirect("tell")
    if request.method == "POST":
        return _save(request, held, asked, here)
    form = AnswersForm(here.items, initial=initial_of(telling.answers if telling else {}))
    return _page(request, held, asked, here, form)


def _save(request: HttpRequest, held: HandOver, asked: Screens, here: Screen) -> HttpResponse:
    form = AnswersForm(here.items, request.POST)
    is_valid = form.is_valid()
    to = _next(asked, here, request.POST.get("go", "")) if is_valid else here
    try:
        telling = services.save(
            held=held,
            screen=here,
            answers=form.answers(),
            at=to.id if to else "drawing",
            handed_in=to is None,
        )
    except services.Closed as problem:
        if wants_json(request):
            return JsonResponse({"error": str(problem)}, status=403)
        return _page(request, held, asked, here, form, status=403, closed=str(problem))
    next_url = reverse("tell-screen", args=[to.id]) if to else after(held, "story")
    if wants_json(request):
        wrong = {name: errors[0] for name, errors in form.errors.items()}
        said = {"saved": telling.version, "next": next_url, "wrong": wrong}
        return JsonResponse(said, status=200 if is_valid else 422)
    return redirect(next_url) if is_valid else _page(request, held, asked, here, form, status=422)


def _next(asked: Screens, here: Screen, go: str) -> Screen | None:
    """Where a button leads; None: through with the questions, on to the drawing."""
    place = asked.index(here)
    if go == "back":
        return asked[max(0, place - 1)]
    if go == "next":
        return asked[place + 1] if place + 1 < len(asked) else None
    return None if go == "draw" else here


def _asked(held: HandOver, telling: Telling | None, *, every: bool = False) -> Screens:
    visit = held.visit
    return screens.for_patient(
        visit.patient,
        queries.day_of(visit),
        telling.answers if telling else {},
        only_changes=only_changes(held),
        has_scores=SCORES in held.asks,
        every=every,
    )


def _page(
    request: HttpRequest,
    held: HandOver,
    asked: Screens,
    here: Screen,
    form: AnswersForm,
    *,
    status: int = 200,
    closed: str = "",
) -> HttpResponse:
    telling = queries.telling_behind(held)
    who = (telling.answers if telling else {}).get("who_answers", "")
    page = screen_page(asked, _asked(held, telling, every=True), here, form, held, who, closed)
    return render(request, "telling/screen.html", {"page": page, "device": keeping(held)}, status=status)
