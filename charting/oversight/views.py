"""The log: every change and every look at a chart, for who answers for the practice or checks it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from charting.audit.services import record_look
from charting.oversight.forms import LogForm
from charting.oversight.pages import log_page
from charting.oversight.queries import Wanted
from charting.staff.requests import staff
from charting.staff.rights import require


@require_GET
def log(request: HttpRequest) -> HttpResponse:
    """A page of a hundred entries, the newest first. Reading it is an entry too."""
    user = staff(request)
    require(user, "read log")
    practice = user.practice
    assert practice is not None  # noqa: S101 - nobody without a practice has a right
    form = LogForm(request.GET, practice=practice)
    wanted = form.wanted() if form.is_valid() else Wanted()
    page = log_page(practice, wanted)
    record_look(who=user, at=practice, as_="read log")
    context = {"page": page, "form": form}
    return render(request, "oversight/log.html", context, status=422 if form.errors else 200)
