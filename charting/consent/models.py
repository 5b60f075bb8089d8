"""What the person has agreed to."""

from django.db import models

from charting.staff.models import User
from charting.visits.models import Visit


class Consent(models.Model):
    """One signed consent, with the text as it was read. Append-only (triggers)."""

    class Signer(models.TextChoices):
        PATIENT = "patient", "the patient"
        GUARDIAN = "guardian", "a parent or guardian"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="consents")
    text_id = models.CharField(max_length=60)
    text_version = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    body = models.TextField()
    explained_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    signer = models.CharField(max_length=10, choices=Signer.choices, default=Signer.PATIENT)
    signer_name = models.CharField(max_length=160)
    questions = models.TextField(max_length=1000, blank=True)
    # [[[x, y], ...], ...]: the strokes of the signature in a box of 600 x 200; [] when the person
    # signed by the typed name.
    signature = models.JSONField()
    device_time = models.CharField(max_length=40, blank=True)
    signed_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["signed_at"]

    def __str__(self) -> str:
        return f"{self.title} (version {self.text_version})"

    @property
    def is_drawn(self) -> bool:
        return bool(self.signature)

    @property
    def how_signed(self) -> str:
        return "signed by hand on the screen" if self.is_drawn else "signed by typed name"
