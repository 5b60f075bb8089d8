"""Reads of drafts: only ever one's own."""

from collections.abc import Iterable

from django.http import QueryDict

from charting.drafts.models import Draft
from charting.staff.models import User


def draft_of(user: User, key: str) -> Draft | None:
    return Draft.objects.filter(user=user, key=key).first()


def drafts_of(user: User, keys: Iterable[str]) -> dict[str, Draft]:
    """The drafts of several forms of one page, by key. One query."""
    return {draft.key: draft for draft in Draft.objects.filter(user=user, key__in=list(keys))}


def drafts_under(user: User, prefix: str) -> dict[str, Draft]:
    """The drafts of all forms whose key begins so, by key. One query."""
    return {draft.key: draft for draft in Draft.objects.filter(user=user, key__startswith=prefix)}


def as_form_data(draft: Draft) -> QueryDict:
    """The draft in the shape a posted form has, for a bound or an initial form."""
    data = QueryDict(mutable=True)
    for name, values in draft.data.items():
        data.setlist(name, values)
    return data


def initial_from(user: User, key: str) -> dict[str, str | list[str]]:
    """Initial values for a form from the draft, {} when there is none."""
    draft = draft_of(user, key)
    if draft is None:
        return {}
    return {name: values[0] if len(values) == 1 else values for name, values in draft.data.items()}
