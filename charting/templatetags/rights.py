"""{% if user|may:"see review" %}: whether a member of staff has a right."""

from django import template

from charting.staff.models import User
from charting.staff.rights import may as allowed

register = template.Library()


@register.filter
def may(user: User, right: str) -> bool:
    return allowed(user, right)
