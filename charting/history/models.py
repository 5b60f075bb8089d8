"""What the patient tells: the complaint, the story, and the answers of the danger screen."""

from django.db import models

from charting.visits.models import Visit


class Story(models.Model):
    """The complaint and the history of one visit, in the clinician's words, and the size on its day."""

    visit = models.OneToOneField(Visit, on_delete=models.PROTECT, related_name="story")
    complaint = models.TextField(max_length=2000, blank=True)
    history = models.TextField(max_length=8000, blank=True)
    height_cm = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    weight_kg = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return self.complaint[:60]


class DangerAnswer(models.Model):
    """One answer of the short danger screen. The questions stand in danger_screen.toml."""

    class Answer(models.TextChoices):
        YES = "yes", "Yes"
        NO = "no", "No"
        UNSURE = "unsure", "Not sure"

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="danger_answers")
    question = models.CharField(max_length=60)
    answer = models.CharField(max_length=6, choices=Answer.choices)
    remark = models.CharField(max_length=500, blank=True)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["visit", "question"], name="one_danger_answer")]

    def __str__(self) -> str:
        return f"{self.question}: {self.answer}"
