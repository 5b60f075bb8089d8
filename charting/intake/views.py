"""The scores in the hands of the patient, and the way back to where somebody stopped."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from charting.handover.access import hand_over_behind
from charting.handover.models import HandOver
from charting.handover.parts import ADDRESSES, after, before, parts_of
from charting.intake import services
from charting.intake.forms import ScoreForm
from charting.intake.pages import score_page
from charting.intake.queries import Answered, answered_in, open_screens
from charting.intake.scoring import ScoreScreen
from charting.outcomes.services import WrongAnswers
from charting.telling.device import keeping, over, wants_json
from charting.telling.queries import DONE
from charting.telling.services import OVER, Closed, arrive

Screens = tuple[ScoreScreen, ...]
WRITTEN = "The clinician has written this down already. Tell them what you want to change."


@login_not_required
@require_GET
def on(request: HttpRequest) -> HttpResponse:
    """Where this device, or the one before it, left off."""
    held = hand_over_behind(request)
    if held is None:
        return over(request, OVER)
    if held.confirmed_at is None:
        return redirect("board")
    telling = arrive(held=held)
    parts = parts_of(held)
    part, _, rest = (telling.at if telling else "").partition("/")
    if part == DONE and telling and telling.continues_id is None:
        return redirect("board-done")
    if part == "scores" and part in parts:
        return redirect("intake-score", rest)
    if part == "reading" and part in parts:
        return redirect(f"/board/reading/{rest}/")
    is_at_drawing = part in ("drawing", "areas") or (part and "story" not in parts)
    return redirect(ADDRESSES["drawing" if is_at_drawing else parts[0]][0])


@login_not_required
@require_GET
def scores(request: HttpRequest) -> HttpResponse:
    """The first screen of the scores; on, where nothing is left to be asked."""
    held = hand_over_behind(request)
    if held is None or held.confirmed_at is None or "scores" not in parts_of(held):
        return over(request, OVER) if held is None else redirect("board")
    screens = open_screens(held)
    return redirect("intake-score", screens[0].id) if screens else redirect(after(held, "scores"))


@login_not_required
@require_http_methods(["GET", "POST"])
def score(request: HttpRequest, screen_id: str) -> HttpResponse:
    """One rating: shown, saved."""
    held = hand_over_behind(request)
    if held is None or held.confirmed_at is None or "scores" not in parts_of(held):
        return over(request, OVER) if held is None or request.method == "POST" else redirect("board")
    screens = open_screens(held, screen_id)
    here = next((each for each in screens if each.id == screen_id), None)
    if here is None:
        return over(request, WRITTEN) if wants_json(request) else redirect("intake-scores")
    if request.method == "POST":
        return _save(request, held, screens, here)
    telling = arrive(held=held, at=f"scores/{here.id}")
    said = answered_in(held, telling, here)
    return _page(request, held, screens, here, ScoreForm(here, initial=_initial(said)))


def _initial(said: Answered) -> dict[str, str]:
    return {"value": "" if said.value is None else str(said.value), "name": said.name}


def _save(request: HttpRequest, held: HandOver, screens: Screens, here: ScoreScreen) -> HttpResponse:
    form = ScoreForm(here, request.POST)
    next_url, at = _next(held, screens, here, request.POST.get("go", ""))
    saved = 0
    try:
        if form.is_valid():
            saved = services.save_score(
                held=held, screen=here, value=form.number, name=form.named, at=at
            ).version
    except Closed as problem:
        if wants_json(request):
            return JsonResponse({"error": str(problem)}, status=403)
        return _page(request, held, screens, here, form, status=403, closed=str(problem))
    except WrongAnswers as problem:
        form.add_error("name" if here.names else "value", next(iter(problem.wrong.values())))
    if wants_json(request):
        wrong = {name: errors[0] for name, errors in form.errors.items()}
        said = {"saved": saved, "next": next_url, "wrong": wrong}
        return JsonResponse(said, status=422 if wrong else 200)
    return _page(request, held, screens, here, form, status=422) if form.errors else redirect(next_url)


def _next(held: HandOver, screens: Screens, here: ScoreScreen, go: str) -> tuple[str, str]:
    """Where a button leads, and what is then open."""
    place = screens.index(here)
    if go == "back" and place == 0:
        return before(held, "scores"), "drawing"
    if go == "more":
        return _screen(here.next_place)
    if go == "next" and place + 1 == len(screens):
        url = after(held, "scores")
        return url, "reading/start" if "reading" in parts_of(held) else DONE
    step = {"back": -1, "next": 1}.get(go, 0)
    return _screen(screens[place + step].id)


def _screen(screen_id: str) -> tuple[str, str]:
    return reverse("intake-score", args=[screen_id]), f"scores/{screen_id}"


def _page(
    request: HttpRequest,
    held: HandOver,
    screens: Screens,
    here: ScoreScreen,
    form: ScoreForm,
    *,
    status: int = 200,
    closed: str = "",
) -> HttpResponse:
    page = score_page(screens, here, form, held, closed)
    return render(request, "intake/score.html", {"page": page, "device": keeping(held)}, status=status)
