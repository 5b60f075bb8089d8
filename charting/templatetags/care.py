"""{% care patient %}: the visits by complaint, and what begins one; {% coming_appointments patient %}: who is
expected when. On the page of the person.

Tags, for that page belongs to charting.patients, which knows nothing of visits and appointments.
"""

from typing import Any

from django import template
from django.utils import timezone

from charting.appointments.pages import coming_for
from charting.patients.models import Patient
from charting.staff.requests import staff
from charting.visits.pages import care_page

register = template.Library()


@register.inclusion_tag("visits/_care.html", takes_context=True)
def care(context: dict[str, Any], patient: Patient) -> dict[str, Any]:
    """A fixed number of queries."""
    return {"page": care_page(staff(context["request"]), patient), "csrf_token": context.get("csrf_token")}


@register.inclusion_tag("appointments/_coming.html", takes_context=True)
def coming_appointments(context: dict[str, Any], patient: Patient) -> dict[str, Any]:
    """One query."""
    return {"page": coming_for(staff(context["request"]), patient, timezone.now())}
