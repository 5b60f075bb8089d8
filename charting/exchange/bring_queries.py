"""Every read of files that were brought."""

import uuid

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from charting.exchange.models import ImportFile
from charting.staff.models import User


def files_of(user: User) -> QuerySet[ImportFile]:
    """Those of the practice, without what is in them, the newest first."""
    return _known_to(user).select_related("brought_by").defer("content")


def file_for(user: User, file_id: uuid.UUID) -> ImportFile:
    """One file of the practice. Raises Http404."""
    rows = _known_to(user).select_related("brought_by")
    return get_object_or_404(rows, pk=file_id)


def locked(user: User, file_id: uuid.UUID) -> ImportFile:
    """The same, held against a second tap until the transaction ends."""
    return _known_to(user).select_for_update().get(pk=file_id)


def _known_to(user: User) -> QuerySet[ImportFile]:
    """A file names people of every site: who does not work at all of them knows those they brought."""
    rows = ImportFile.objects.filter(practice=user.practice)
    return rows if user.every_site else rows.filter(brought_by=user)
