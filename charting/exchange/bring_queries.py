"""Every read of files that were brought."""

import uuid

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404

from charting.exchange.models import ImportFile
from charting.staff.models import User


def files_of(user: User) -> QuerySet[ImportFile]:
    """Those of the practice, without what is in them, the newest first."""
    return ImportFile.objects.filter(practice=user.practice).select_related("brought_by").defer("content")


def file_for(user: User, file_id: uuid.UUID) -> ImportFile:
    """One file of the practice. Raises Http404."""
    rows = ImportFile.objects.filter(practice=user.practice).select_related("brought_by")
    return get_object_or_404(rows, pk=file_id)


def locked(user: User, file_id: uuid.UUID) -> ImportFile:
    """The same, held against a second tap until the transaction ends."""
    return ImportFile.objects.select_for_update().get(practice=user.practice, pk=file_id)
