"""Every rule the product reasons by, on one page. No patient data."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from charting.rules import pages
from charting.staff.requests import staff


@require_GET
def rules(request: HttpRequest) -> HttpResponse:
    page = pages.rules_page(staff(request))
    return render(request, "rules/rules.html", {"page": page})
