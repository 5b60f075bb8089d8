"""The practice looked at as a whole: the page, and the same as a file. Each look is written down."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from charting.audit.services import record_look
from charting.exchange.spreadsheet import as_csv
from charting.review import services, table
from charting.review.copy import from_copy
from charting.review.forms import ReviewForm
from charting.review.pages import review_page
from charting.staff.models import User
from charting.staff.requests import staff
from charting.staff.rights import require


@require_GET
def review(request: HttpRequest) -> HttpResponse:
    user = _allowed(request)
    form = ReviewForm(request.GET, user=user)
    if not form.is_valid():
        return render(request, "review/review.html", {"form": form, "page": None}, status=422)
    page = from_copy(lambda: review_page(user, form.chosen(), request.GET.urlencode()))
    _looked(user, "opened review")
    return render(request, "review/review.html", {"form": form, "page": page})


@require_GET
def file(request: HttpRequest) -> HttpResponse:
    """What the page shows, as CSV."""
    user = _allowed(request)
    form = ReviewForm(request.GET, user=user)
    if not form.is_valid():
        return render(request, "review/review.html", {"form": form, "page": None}, status=422)
    chosen = form.chosen()
    made = from_copy(lambda: as_csv(table.rows(review_page(user, chosen))))
    _looked(user, "exported review")
    name = f"practice-review-{chosen.first.key}-to-{chosen.last.key}.csv"
    answer = HttpResponse(made, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@require_POST
def fill(request: HttpRequest) -> HttpResponse:
    """Count drawings that were signed before there were cells to count."""
    count = services.fill_in(who=staff(request))
    messages.success(request, f"{count} more drawing{'' if count == 1 else 's'} counted.", extra_tags="ok")
    return redirect(reverse("review"))


def _allowed(request: HttpRequest) -> User:
    user = staff(request)
    require(user, "see review")
    return user


def _looked(user: User, as_: str) -> None:
    if user.practice:
        record_look(who=user, at=user.practice, as_=as_)
