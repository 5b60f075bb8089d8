"""{% told_notice visit %}, on the overview of a visit, and {% told_today %}, on the day page: what patients
told alone and nobody has read.

Tags, for the pages they stand on belong to nouns that know nothing of tellings.
"""

from typing import Any

from django import template

from charting.staff.requests import staff
from charting.staff.rights import may
from charting.telling.queries import tellings_of, warned_among, warned_in
from charting.visits.models import Visit

register = template.Library()


@register.inclusion_tag("telling/_notice.html")
def told_notice(visit: Visit) -> dict[str, Any]:
    """For who may open the chart. One query."""
    told = tellings_of(visit)
    unread = [telling for telling in told if telling.settled_at is None]
    return {
        "visit": visit,
        "warned": warned_in(unread),
        "opens": True,
        "unread": unread,
        "count": sum(len(set(telling.shown) - set(telling.taken)) for telling in unread),
        "begun": any(telling.taken for telling in unread),
        "has_told": bool(told),
    }


@register.inclusion_tag("telling/_today.html", takes_context=True)
def told_today(context: dict[str, Any]) -> dict[str, Any]:
    """One query."""
    user = staff(context["request"])
    return {"warned": warned_among(user), "opens": may(user, "open chart")}
