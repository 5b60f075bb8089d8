"""{% emergency_banner patient %}, above every page of a chart that stands open in an emergency only; {%
seen_at patient %}, on the page of the person; {% emergencies_today %}, on the day page of an owner.

Tags, for those pages belong to nouns that know nothing of sites.
"""

from typing import Any

from django import template
from django.utils import timezone

from charting.patients.models import Patient
from charting.sites.emergency_queries import open_now, waiting_for
from charting.sites.queries import may_place, places_of
from charting.staff.requests import staff

register = template.Library()


@register.inclusion_tag("sites/_banner.html", takes_context=True)
def emergency_banner(context: dict[str, Any], patient: Patient) -> dict[str, Any]:
    """One query; none for who works at every site."""
    user = staff(context["request"])
    limited = user.is_authenticated and not user.every_site
    access = open_now(user).filter(patient=patient).first() if limited else None
    minutes = int((access.expires_at - timezone.now()).total_seconds() // 60) + 1 if access else 0
    return {"access": access, "minutes": minutes, "csrf_token": context.get("csrf_token")}


@register.inclusion_tag("sites/_seen_at.html", takes_context=True)
def seen_at(context: dict[str, Any], patient: Patient) -> dict[str, Any]:
    """One query, a second where the practice has sites."""
    places = places_of(patient)
    may = bool(places) and may_place(staff(context["request"]), patient)
    return {"patient": patient, "places": places, "here": [one for one in places if one.here], "may": may}


@register.inclusion_tag("sites/_today.html", takes_context=True)
def emergencies_today(context: dict[str, Any]) -> dict[str, Any]:
    """One query for an owner, none for others."""
    user = staff(context["request"])
    return {"waiting": waiting_for(user), "names": user.every_site}
