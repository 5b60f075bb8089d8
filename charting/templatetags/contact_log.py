"""{% latest_contacts patient %}: the last lines of the contact log, on the page of the person.

A tag, for the page of a person belongs to charting.patients, which knows nothing of contacts.
"""

from typing import Any

from django import template

from charting.contacts.pages import latest_contacts as latest
from charting.patients.models import Patient
from charting.staff.requests import staff

register = template.Library()


@register.inclusion_tag("contacts/_latest.html", takes_context=True)
def latest_contacts(context: dict[str, Any], patient: Patient) -> dict[str, Any]:
    return {"page": latest(staff(context["request"]), patient)}
