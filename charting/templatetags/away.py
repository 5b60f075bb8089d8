"""How long the session of this page goes on."""

from typing import Any

from django import template

from charting.staff.away import seconds_left

register = template.Library()


@register.simple_tag(takes_context=True)
def time_left(context: dict[str, Any]) -> tuple[int, int]:
    """Seconds until it ends if nothing happens, and until it ends anyway."""
    return seconds_left(context["request"])
