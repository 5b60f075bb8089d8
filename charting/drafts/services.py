"""Keep what was typed, and forget it once it is saved for good."""

from django.db import transaction

from charting.drafts.models import Draft
from charting.staff.models import User

MAX_BYTES = 64 * 1024
MAX_FIELDS = 400


class TooLarge(Exception):
    """More than a form of ours can hold."""


@transaction.atomic
def keep(*, who: User, key: str, data: dict[str, list[str]]) -> Draft:
    """Keep the fields of one half-typed form. Raises TooLarge past 64 KB or 400 fields.

    No audit row: a draft is seen by its writer only and is no part of the record.
    """
    size = sum(len(name) + sum(map(len, values)) for name, values in data.items())
    if size > MAX_BYTES or len(data) > MAX_FIELDS:
        raise TooLarge(f"a draft holds at most {MAX_BYTES // 1024} KB in {MAX_FIELDS} fields")
    draft, _ = Draft.objects.update_or_create(user=who, key=key, defaults={"data": data})
    return draft


def forget(*, who: User, key: str) -> None:
    """Call it when the form was saved; a draft that is not there is no error."""
    Draft.objects.filter(user=who, key=key).delete()
