"""Autosave: keep the draft of one form; discard it."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from charting.drafts import services
from charting.staff.requests import staff

# Never part of what was typed, or given once for one act: a password, a signature.
NOT_TYPED = {"csrfmiddlewaretoken", "draft_key", "password", "ink"}


@require_POST
def keep(request: HttpRequest) -> HttpResponse:
    key = request.POST.get("draft_key", "")
    if not 0 < len(key) <= 120:
        return JsonResponse({"error": "a draft needs the key of its form"}, status=400)
    data = {name: values for name, values in request.POST.lists() if name not in NOT_TYPED}
    try:
        draft = services.keep(who=staff(request), key=key, data=data)
    except services.TooLarge as problem:
        return JsonResponse({"error": str(problem)}, status=413)
    return JsonResponse({"kept": key, "at": f"{timezone.localtime(draft.saved_at):%H:%M}"})


@require_POST
def forget(request: HttpRequest) -> HttpResponse:
    """Discard a draft and go back to its form, which then shows what is on record."""
    services.forget(who=staff(request), key=request.POST.get("draft_key", ""))
    back = request.POST.get("back", "")
    if not url_has_allowed_host_and_scheme(back, {request.get_host()}, require_https=request.is_secure()):
        back = "/"
    return redirect(back)
