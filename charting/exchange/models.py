"""Files that other systems sent, kept until somebody says that they are to be taken in."""

import uuid

from django.db import models

from charting.staff.models import Practice, User


class ImportFile(models.Model):
    """A list of people (CSV) or one person (FHIR), read and shown before anything is done."""

    class What(models.TextChoices):
        CSV = "csv", "List of people (CSV)"
        FHIR = "fhir", "Person (FHIR R4)"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="import_files")
    what = models.CharField(max_length=4, choices=What.choices)
    name = models.CharField(max_length=160)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    brought_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    brought_at = models.DateTimeField(auto_now_add=True)
    # What came of it: {"made": [ids], ...}; null as long as it waits.
    done_at = models.DateTimeField(null=True)
    outcome = models.JSONField(null=True)

    class Meta:
        app_label = "charting"
        ordering = ["-brought_at"]

    def __str__(self) -> str:
        return self.name
