"""What the patient tells: the complaint, the story, and the answers of the danger screen."""

from datetime import datetime

from django.db import models

from charting.patients.models import Patient
from charting.staff.models import User
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


class ToldBy(models.TextChoices):
    CLINICIAN = "clinician", "asked by the clinician"
    PATIENT = "patient", "answered by the patient, confirmed by the clinician"


class StoryAnswer(models.Model):
    """One answer of the story: `key` and shape of `value` as in bodymaps/data/reasoning/history.toml.

    Story.version counts every change of them: a later save never silently overwrites an earlier one.
    """

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="story_answers")
    key = models.CharField(max_length=60)
    value = models.JSONField()
    told_by = models.CharField(max_length=10, choices=ToldBy.choices, default=ToldBy.CLINICIAN)
    # The visit in which it was told, where it was carried forward from there and not asked again.
    carried_from = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="+", null=True)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["visit", "key"], name="one_story_answer")]

    def __str__(self) -> str:
        return f"{self.key}: {self.value}"


class StandingFact(models.Model):
    """What stays with a person, as confirmed in one visit. The last of a key counts. Append-only."""

    # Not kept: what charting.history.merged and .standing find out when they read a row.
    merged_at: datetime | None = None
    is_doubted: bool = False
    against: tuple[str, ...] = ()

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="standing_facts")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="standing_facts", null=True)
    key = models.CharField(max_length=60)
    value = models.JSONField()
    confirmed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    confirmed_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        indexes = [models.Index(fields=["patient", "key", "-confirmed_at"], name="standing_of_patient")]

    def __str__(self) -> str:
        return f"{self.key}: {self.value}"


class DangerAnswer(models.Model):
    """One answer to a question about danger: of the danger screen, or asked on (history.toml)."""

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
