"""The practice, and the people who work in it."""

import zoneinfo

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone


class Paper(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", "Letter"


def check_time_zone(name: str) -> None:
    """Raise ValidationError unless `name` is an IANA time zone."""
    if name not in zoneinfo.available_timezones():
        raise ValidationError("Choose a time zone by its IANA name, for example Europe/Zurich.")


class Practice(models.Model):
    """One clinic: its letterhead, its paper and its clock. Patients belong to a practice."""

    name = models.CharField(max_length=120)
    street = models.CharField(max_length=120, blank=True)
    town = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    registration = models.CharField("practice registration number", max_length=60, blank=True)
    time_zone = models.CharField(max_length=60, default="UTC", validators=[check_time_zone])
    paper = models.CharField(max_length=8, choices=Paper.choices, default=Paper.A4)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)


class User(AbstractUser):
    """A member of staff. Decided before the first migration: it can't be swapped later."""

    class Role(models.TextChoices):
        CLINICIAN = "clinician", "Clinician"
        ASSISTANT = "assistant", "Assistant"
        MANAGER = "manager", "Practice manager"

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="staff", null=True)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.CLINICIAN)
    title = models.CharField(
        "profession", max_length=80, blank=True, help_text="For example: Physiotherapist"
    )
    registration = models.CharField("registration number", max_length=60, blank=True)
    # Signs notes that somebody who may co-sign signs in addition.
    is_trainee = models.BooleanField("trainee, notes are co-signed", default=False)
    # A right of its own, given to a clinician by a manager of the practice.
    writes_patterns = models.BooleanField("writes the practice's own patterns", default=False)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @property
    def audit_name(self) -> str:
        return str(self)

    @property
    def audit_role(self) -> str:
        return self.role

    @property
    def audit_practice_id(self) -> int | None:
        return self.practice_id

    @property
    def audit_user_id(self) -> int | None:
        return self.pk


class SignInTry(models.Model):
    """A password given at the way in: counted for a quarter of an hour, gone after a day. What stays is the
    audit. The name is kept as a keyed digest: people type passwords into the box of the name.
    """

    at = models.DateTimeField(default=timezone.now)
    name_digest = models.CharField(max_length=64)
    address = models.CharField(max_length=45)
    was_right = models.BooleanField(default=False)

    class Meta:
        app_label = "charting"
        indexes = [
            models.Index(fields=["name_digest", "at"], name="sign_in_try_by_name"),
            models.Index(fields=["address", "at"], name="sign_in_try_by_address"),
        ]

    def __str__(self) -> str:
        return f"{'right' if self.was_right else 'wrong'} password from {self.address}"
