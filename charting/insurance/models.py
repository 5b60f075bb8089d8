"""Who pays, under which numbers, and what an insurer asks about the care of one complaint."""

import uuid

from django.db import models

from charting.episodes.models import Episode
from charting.patients.models import Patient
from charting.staff.models import Practice, User


class Payer(models.Model):
    """An insurer, or whoever else pays, as the practice knows it."""

    class Units(models.TextChoices):
        """How timed procedures are counted. Rules and their sources: units.toml."""

        NONE = "none", "Minutes only"
        EIGHT_MINUTES = "eight_minutes", "Units of 15 minutes, all timed minutes added (8-minute rule)"

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="payers")
    name = models.CharField(max_length=160)
    # The number under which it is known to clearing offices.
    payer_number = models.CharField(max_length=60, blank=True)
    street = models.CharField(max_length=120, blank=True)
    town = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    units = models.CharField(max_length=16, choices=Units.choices, default=Units.NONE)
    # What it asks for beyond what every payer does: ids of missing.toml.
    asks = models.JSONField(default=list)
    in_use = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Policy(models.Model):
    """What a person is insured under. `ended_on`: not in force from the day after."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="policies")
    payer = models.ForeignKey(Payer, on_delete=models.PROTECT, related_name="policies")
    number = models.CharField(max_length=60)
    group_number = models.CharField(max_length=60, blank=True)
    # "" where the patient holds it.
    holder = models.CharField(max_length=160, blank=True)
    holder_relation = models.CharField(max_length=60, blank=True)
    began_on = models.DateField(null=True)
    ended_on = models.DateField(null=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["-began_on", "number"]

    def __str__(self) -> str:
        return f"{self.payer} {self.number}"


class Claim(models.Model):
    """What the insurer is told about one episode."""

    class Cause(models.TextChoices):
        WORK = "work", "Accident or strain at work"
        ROAD = "road", "Road accident"
        OTHER = "other", "Other accident"
        ILLNESS = "illness", "Illness, no accident"

    episode = models.OneToOneField(Episode, on_delete=models.PROTECT, related_name="claim")
    policy = models.ForeignKey(Policy, on_delete=models.PROTECT, related_name="claims", null=True)
    claim_number = models.CharField(max_length=60, blank=True)
    cause = models.CharField(max_length=8, choices=Cause.choices, blank=True)
    cause_words = models.CharField(max_length=500, blank=True)
    # The day of the injury or, without an accident, of the first complaint.
    injured_on = models.DateField(null=True)
    referred_by = models.CharField(max_length=160, blank=True)
    referrer_address = models.TextField(max_length=300, blank=True)
    referrer_number = models.CharField(max_length=60, blank=True)
    referred_on = models.DateField(null=True)
    # What the person could do before it began.
    prior_function = models.TextField(max_length=2000, blank=True)
    plan_from = models.DateField(null=True)
    plan_until = models.DateField(null=True)
    plan_frequency = models.CharField(max_length=160, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"claim about {self.episode_id}"


class Authorisation(models.Model):
    """Visits that the payer agreed to beforehand. `withdrawn_at`: does not count any more."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, related_name="authorisations")
    number = models.CharField(max_length=60)
    visits = models.PositiveSmallIntegerField(null=True)
    valid_from = models.DateField(null=True)
    valid_until = models.DateField(null=True)
    remark = models.CharField(max_length=300, blank=True)
    withdrawn_at = models.DateTimeField(null=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["valid_from", "number"]

    def __str__(self) -> str:
        return self.number

    @property
    def is_withdrawn(self) -> bool:
        return self.withdrawn_at is not None


class WorkStatus(models.Model):
    """Whether the person could work, from a day on. The last line counts. Append-only (triggers)."""

    class Status(models.TextChoices):
        FULL = "full", "Full work"
        LIMITED = "limited", "Limited work"
        NONE = "none", "No work"
        NOT_WORKING = "not_working", "Not in paid work"

    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, related_name="work_statuses")
    status = models.CharField(max_length=12, choices=Status.choices)
    percent = models.PositiveSmallIntegerField(null=True)
    limits = models.CharField(max_length=500, blank=True)
    from_on = models.DateField()
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["from_on", "recorded_at"]

    def __str__(self) -> str:
        return f"{self.status} from {self.from_on}"


class Certification(models.Model):
    """A plan of care confirmed by who is asked to, for a period. Append-only (triggers)."""

    claim = models.ForeignKey(Claim, on_delete=models.PROTECT, related_name="certifications")
    certified_by = models.CharField(max_length=160)
    certified_on = models.DateField()
    valid_from = models.DateField()
    valid_until = models.DateField()
    how = models.CharField(max_length=160, blank=True)
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["certified_on", "recorded_at"]

    def __str__(self) -> str:
        return f"certified by {self.certified_by} on {self.certified_on}"
