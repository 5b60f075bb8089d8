"""The home programme of a visit: fetch, parse, act, render."""

import uuid
from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from charting.audit.services import record_look
from charting.staff.requests import staff
from charting.staff.rights import require
from charting.treatment import home_pages, home_services
from charting.treatment.home import WrongItem
from charting.treatment.home_pages import Typed
from charting.treatment.models import HomeProgramme
from charting.versioning import Stale
from charting.visits.models import Visit
from charting.visits.queries import open_visit


@require_http_methods(["GET", "POST"])
def home(request: HttpRequest, visit_id: uuid.UUID) -> HttpResponse:
    visit = open_visit(staff(request), visit_id)
    if request.method == "GET":
        record_look(who=staff(request), at=visit, as_="opened home programme")
        page = home_pages.home_page(visit, staff(request), as_last="last" in request.GET)
        return _page(request, visit, page)
    require(staff(request), "treat")
    typed = home_pages.read(request.POST.dict())
    return _save(request, visit, typed)


def _save(request: HttpRequest, visit: Visit, typed: Typed) -> HttpResponse:
    version, items, words = typed.version, typed.items, typed.words
    try:
        home_services.save_home(who=staff(request), visit=visit, version=version, items=items, words=words)
    except WrongItem as problem:
        wrong = {
            f"{name}_{number}" if number else name: words for (number, name), words in problem.wrong.items()
        }
        page = home_pages.home_page(visit, staff(request), replace(typed, wrong=wrong))
        return _page(request, visit, page, status=422)
    except Stale as clash:
        now = clash.current if isinstance(clash.current, HomeProgramme) else None
        return _page(
            request, visit, home_pages.home_page(visit, staff(request), typed, clash=now), status=409
        )
    messages.success(request, "The home programme is saved.", extra_tags="ok")
    return redirect("home-programme", visit.pk)


def _page(
    request: HttpRequest, visit: Visit, page: home_pages.HomePage, *, status: int = 200
) -> HttpResponse:
    return render(request, "treatment/home.html", {"page": page, "visit": visit}, status=status)
