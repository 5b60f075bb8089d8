"""{{ row.when|day_of|date:"j F Y" }}: a moment of plain data, in the time of the practice."""

from datetime import datetime

from django import template
from django.utils import timezone

register = template.Library()


@register.filter
def day_of(text: str) -> datetime:
    """ "2026-05-04T10:00:00+00:00" """
    return timezone.localtime(datetime.fromisoformat(text))
