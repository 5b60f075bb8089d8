"""{{ row.when|day_of|date:"j F Y" }}: a moment of plain data, in the time of the practice.
{{ change.rules|found_here:True }}: the rules found for this part of the body, or with False the others.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django import template
from django.utils import timezone

register = template.Library()


@register.filter
def day_of(text: str) -> datetime:
    """ "2026-05-04T10:00:00+00:00" """
    return timezone.localtime(datetime.fromisoformat(text))


@register.filter
def found_here(rules: Iterable[Mapping[str, Any]], here: bool) -> list[Mapping[str, Any]]:
    return [rule for rule in rules if rule["fits"] is here]
