"""What was found on examination: vitals, what is looked at, the neurological screen."""

from django.db import models

from charting.visits.models import Visit


class NeuroFinding(models.Model):
    """One test on one side. What may be tested, and the grades: bodymaps.reasoning.items.findings()."""

    class Side(models.TextChoices):
        RIGHT = "right", "Right"
        LEFT = "left", "Left"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="neuro_findings")
    # For example "touch:C6", "strength:C7", "reflex:biceps".
    item = models.CharField(max_length=40)
    # "" for a test that has no side.
    side = models.CharField(max_length=5, choices=Side.choices, blank=True)
    grade = models.CharField(max_length=12)
    remark = models.CharField(max_length=200, blank=True)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["visit", "item", "side"], name="one_neuro_finding")]

    def __str__(self) -> str:
        return f"{self.item} {self.side}: {self.grade}"
