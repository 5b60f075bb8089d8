"""The diagnosis codes of a visit."""

from django.db import models

from charting.staff.models import User
from charting.visits.models import Visit


class DiagnosisCode(models.Model):
    """One ICD-10-CM code chosen for a visit, with its title as the table of that release had it."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="codes")
    code = models.CharField(max_length=8)
    title = models.CharField(max_length=300)
    # Of the table: "April 2026".
    release = models.CharField(max_length=40)
    position = models.PositiveSmallIntegerField()
    # Cautions that were shown about drawing, side and site, and why the code was kept all the same.
    cautions = models.JSONField(default=list)
    reason = models.CharField(max_length=500, blank=True)
    chosen_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    chosen_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["visit", "code"], name="one_code_in_visit")]

    def __str__(self) -> str:
        return self.code
