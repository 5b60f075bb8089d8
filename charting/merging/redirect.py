"""Every address of a record that was merged leads to the record that holds the person now."""

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from charting.patients.access import records_of
from charting.patients.models import Patient
from charting.staff.models import User


class OneRecord:
    """A page is shown at the address of the record that stays; what a form sends, from a page that was open
    when the records were merged, is taken in there. One query for each address that names a person.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        gone = _merged(request, kwargs.get("patient_id"))
        if gone is None or gone.merged_into is None:
            return None
        there = {**kwargs, "patient_id": gone.merged_into.pk}
        if request.method != "GET" or request.resolver_match is None:
            return view(request, *args, **there)
        if not request.headers.get("HX-Request"):
            messages.info(
                request,
                f"Record {gone.record_number} ({gone.name}) was merged into this one, "
                f"record {gone.merged_into.record_number}.",
            )
        address = reverse(request.resolver_match.view_name, kwargs=there)
        query = request.META.get("QUERY_STRING", "")
        return redirect(f"{address}?{query}" if query else address)


def _merged(request: HttpRequest, patient_id: Any) -> Patient | None:
    user = getattr(request, "user", None)
    if not isinstance(patient_id, uuid.UUID) or not isinstance(user, User):
        return None
    known = records_of(user).select_related("merged_into").exclude(merged_into=None)
    return known.filter(pk=patient_id).first()
