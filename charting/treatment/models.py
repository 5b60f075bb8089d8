"""What was done, what it did, what went wrong, and what the patient does at home."""

import uuid

from django.db import models

from charting.examination.models import Side
from charting.patients.models import Patient
from charting.staff.models import User
from charting.visits.models import Visit


class TreatmentEntry(models.Model):
    """One technique on one muscle of one side, or on an area. Techniques and limits: techniques.toml."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="treatments")
    technique = models.CharField(max_length=40)
    # Ids of the atlas; "" where no single muscle was treated, then `area` says where (consent_areas.toml).
    muscle = models.CharField(max_length=60, blank=True)
    site = models.CharField(max_length=60, blank=True)
    side = models.CharField(max_length=5, choices=Side.choices, blank=True)
    area = models.CharField(max_length=40, blank=True)
    # How much of it, in words and numbers as the technique asks for.
    dose = models.JSONField(default=dict)
    minutes = models.PositiveSmallIntegerField(null=True)
    # By the clock of the practice, where the payer asks for it.
    began_at = models.TimeField(null=True)
    ended_at = models.TimeField(null=True)
    # Pain on the spot before and after, 0-10; twitch seen or felt: "yes", "no", "NT", "" not recorded.
    pain_before = models.PositiveSmallIntegerField(null=True)
    pain_after = models.PositiveSmallIntegerField(null=True)
    twitch = models.CharField(max_length=3, blank=True)
    # {"gauge_mm", "length_mm", "depth_mm", "direction", "count_in", "count_out"}; {} without needles.
    needles = models.JSONField(default=dict)
    remark = models.CharField(max_length=500, blank=True)
    position = models.PositiveSmallIntegerField()
    entered_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(auto_now_add=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.technique} {self.muscle or self.area} {self.side}".strip()


class NeedleIncident(models.Model):
    """What became of needles whose count in and out differs. Append-only."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="needle_incidents")
    # The entries as they stood: [{"entry", "where", "count_in", "count_out"}].
    shown = models.JSONField()
    words = models.TextField(max_length=1000)
    done = models.TextField(max_length=1000)
    told_patient = models.BooleanField()
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["recorded_at"]

    def __str__(self) -> str:
        return f"needles of {self.visit_id}"


class GateOverride(models.Model):
    """A clinician's decision to needle though a gate holds: with the gate as it stood. Append-only."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="gate_overrides")
    muscle = models.CharField(max_length=60, blank=True)
    side = models.CharField(max_length=5, choices=Side.choices, blank=True)
    # The id of the gate, and {"title", "words", "level", "source"} as it was shown.
    gate = models.CharField(max_length=60)
    shown = models.JSONField()
    reason = models.TextField(max_length=1000)
    decided_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["decided_at"]

    def __str__(self) -> str:
        return f"{self.gate}: {self.reason[:40]}"


class LateAdvice(models.Model):
    """What the patient was told to watch for after needling, and whom to call. Append-only."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="late_advice")
    words = models.TextField(max_length=2000)
    call = models.CharField(max_length=200)
    understood = models.BooleanField()
    given_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    given_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["given_at"]

    def __str__(self) -> str:
        return f"late advice in {self.visit_id}"


class AdverseEvent(models.Model):
    """What treatment did that nobody wanted. A wrong line is corrected by a further one. Append-only."""

    class Severity(models.TextChoices):
        MILD = "mild", "Mild: short, passes by itself"
        SIGNIFICANT = "significant", "Significant: needs care or keeps from daily life"
        SERIOUS = "serious", "Serious: hospital, lasting harm, death"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="adverse_events")
    # The visit whose treatment is thought of.
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="adverse_events", null=True)
    # The treatment as it stood, in words and by id: an entry can be taken off an open visit.
    treated = models.CharField(max_length=300, blank=True)
    technique = models.CharField(max_length=40, blank=True)
    muscle = models.CharField(max_length=60, blank=True)
    side = models.CharField(max_length=5, choices=Side.choices, blank=True)
    happened_at = models.DateTimeField()
    # Ids of adverse.toml.
    what = models.CharField(max_length=40)
    severity = models.CharField(max_length=12, choices=Severity.choices)
    words = models.TextField(max_length=2000)
    done = models.TextField(max_length=1000, blank=True)
    reported_by_patient = models.BooleanField(default=False)
    follow_up_on = models.DateField(null=True)
    corrects = models.ForeignKey("self", on_delete=models.PROTECT, related_name="corrected_by", null=True)
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["-happened_at"]

    def __str__(self) -> str:
        return f"{self.what} ({self.severity})"


class AdverseFollowUp(models.Model):
    """How an adverse event went on. `settles`: nothing more is to be followed up. Append-only."""

    event = models.ForeignKey(AdverseEvent, on_delete=models.PROTECT, related_name="follow_ups")
    words = models.TextField(max_length=1000)
    settles = models.BooleanField(default=True)
    next_on = models.DateField(null=True)
    done_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["done_at"]

    def __str__(self) -> str:
        return f"followed up: {self.event_id}"


class HomeProgramme(models.Model):
    """What the patient does at home until the next visit. Members of an item: home.toml."""

    visit = models.OneToOneField(Visit, on_delete=models.PROTECT, related_name="home_programme")
    items = models.JSONField(default=list)
    words = models.TextField(max_length=2000, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"home programme of {self.visit_id}"
