"""How the patient fares, in numbers that can be held against each other from visit to visit."""

from django.db import models

from charting.visits.models import Visit


class OutcomeScore(models.Model):
    """One instrument of one visit: what was answered or typed in, never the words of a question.

    `instrument`, `form` and the members of `answers`: bodymaps/data/reasoning/outcomes.toml.
    """

    class SaidBy(models.TextChoices):
        PATIENT = "patient", "by the patient on the device"
        CLINICIAN = "clinician", "asked by the clinician"
        PAPER = "paper", "from a filled-in form"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="outcome_scores")
    instrument = models.CharField(max_length=40)
    # Which version or numbering of the instrument the answers belong to; "" where there is one only.
    form = models.CharField(max_length=40, blank=True)
    answers = models.JSONField(default=dict)
    said_by = models.CharField(max_length=10, choices=SaidBy.choices, default=SaidBy.CLINICIAN)
    changed_at = models.DateTimeField(auto_now=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["instrument"]
        constraints = [models.UniqueConstraint(fields=["visit", "instrument"], name="one_outcome_score")]

    def __str__(self) -> str:
        return f"{self.instrument} {self.answers}"
