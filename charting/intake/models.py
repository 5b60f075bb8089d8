"""What the patient read alone before anybody explained it."""

from django.db import models

from charting.handover.models import HandOver
from charting.visits.models import Visit


class ConsentRead(models.Model):
    """One consent text read on the device, with what the patient wants to ask. No consent. Append-only."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="consents_read")
    hand_over = models.ForeignKey(HandOver, on_delete=models.PROTECT, related_name="+")
    text_id = models.CharField(max_length=60)
    text_version = models.PositiveIntegerField()
    questions = models.TextField(max_length=1000, blank=True)
    # How many parts of the text had been read when a question was noted; None: the text was read to its end.
    upto = models.PositiveIntegerField(null=True)
    read_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["read_at"]

    def __str__(self) -> str:
        return f"{self.text_id} read in {self.visit_id}"
