"""Autosave: POST keeps the draft of one form, DELETE throws it away."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from charting.drafts import services
from charting.staff.requests import staff

# Never part of what was typed.
NOT_TYPED = {"csrfmiddlewaretoken", "draft_key"}


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
    zone = staff(request).practice.zone if staff(request).practice else None
    return JsonResponse({"kept": key, "at": f"{timezone.localtime(draft.saved_at, zone):%H:%M}"})


@require_POST
def forget(request: HttpRequest) -> HttpResponse:
    services.forget(who=staff(request), key=request.POST.get("draft_key", ""))
    return JsonResponse({"forgotten": True})
