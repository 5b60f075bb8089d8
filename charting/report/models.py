"""Papers that were given out, byte for byte."""

from django.db import models

from charting.patients.models import Patient
from charting.staff.models import Paper, User
from charting.visits.models import Visit


class IssuedPaper(models.Model):
    """A copy of a consent or a home programme as the patient took it along. Append-only (triggers)."""

    class Kind(models.TextChoices):
        CONSENT = "consent", "Copy of a consent"
        HOME = "home", "Home programme"

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="issued_papers")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="issued_papers", null=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    # SHA-256 of what is printed: the same content is given out as the same bytes.
    source_sha256 = models.CharField(max_length=64)
    paper = models.CharField(max_length=8, choices=Paper.choices)
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    issued_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    issued_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["issued_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["patient", "kind", "source_sha256", "paper"], name="one_issued_paper"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.issued_at:%Y-%m-%d}"
