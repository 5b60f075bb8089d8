"""The practice, and the people who work in it."""

import uuid
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
    # Invented people only: who works here signs in with a password alone.
    is_demo = models.BooleanField(default=False, editable=False)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)


class Site(models.Model):
    """A place where the practice works. Without any of these it is one place, where everybody works."""

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="sites")
    name = models.CharField(max_length=120)
    street = models.CharField(max_length=120, blank=True)
    town = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    in_use = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["practice", "name"], name="one_site_of_a_name")]

    def __str__(self) -> str:
        return self.name


class User(AbstractUser):
    """A member of staff. Decided before the first migration: it can't be swapped later."""

    class Role(models.TextChoices):
        CLINICIAN = "clinician", "Clinician"
        DESK = "desk", "Front desk"
        OWNER = "owner", "Practice owner"
        AUDITOR = "auditor", "Auditor"

    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="staff", null=True)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.CLINICIAN)
    title = models.CharField(
        "profession", max_length=80, blank=True, help_text="For example: Physiotherapist"
    )
    registration = models.CharField("registration number", max_length=60, blank=True)
    # Signs notes that somebody who may co-sign signs in addition.
    is_trainee = models.BooleanField("trainee, notes are co-signed", default=False)
    # A right of its own, given to a clinician by an owner of the practice.
    writes_patterns = models.BooleanField("writes the practice's own patterns", default=False)
    # Somebody who treats and answers for the practice too; in a practice of one they are the same person.
    owns_practice = models.BooleanField("owns the practice as well", default=False)
    # False: only at those of `sites`, and only the people who are seen there are known (patients.access).
    every_site = models.BooleanField("works at every site", default=True)
    sites = models.ManyToManyField(Site, related_name="staff", blank=True)
    # A password that somebody else chose: the first thing to do after signing in is to choose one's own.
    must_change_password = models.BooleanField(default=False)

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

    @property
    def audit_emergencies(self) -> dict[uuid.UUID, str]:
        """{person: opening} of the charts that are open to this user in an emergency only. One query; none
        for who works at every site.
        """
        if self.every_site:
            return {}
        rows = self.emergency_accesses.filter(ended_at=None, expires_at__gt=timezone.now())
        return {patient: str(pk) for patient, pk in rows.values_list("patient", "pk")}


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


class SecondFactor(models.Model):
    """What somebody has besides the password: a secret that an authenticator turns into a code each half
    minute (RFC 6238). The secret is kept encrypted; a copy of the database makes no codes.
    """

    user = models.OneToOneField(User, on_delete=models.CASCADE, related_name="second_factor")
    secret = models.BinaryField()
    # None: shown once, and no code of it was given yet.
    confirmed_at = models.DateTimeField(null=True)
    # The step of time whose code was used last: none of it or before it is taken again.
    last_step = models.BigIntegerField(default=0)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"second factor of {self.user_id}"


class BackupCode(models.Model):
    """For who has lost the authenticator: good once. Only a slow hash of it is kept."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="backup_codes")
    hashed = models.CharField(max_length=128)
    used_at = models.DateTimeField(null=True)

    class Meta:
        app_label = "charting"

    def __str__(self) -> str:
        return f"backup code of {self.user_id}"


class StaffSession(models.Model):
    """Where somebody is signed in, for themselves to see and end. The session itself is Django's own; ending
    it deletes that one. `last_seen_at` is at most a minute old.
    """

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="staff_sessions")
    session_key = models.CharField(max_length=40, unique=True)
    # "Chrome on Android", as far as the browser says so.
    device = models.CharField(max_length=80, blank=True)
    address = models.CharField(max_length=45, blank=True)
    began_at = models.DateTimeField(default=timezone.now)
    last_seen_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        app_label = "charting"
        ordering = ["-last_seen_at"]

    def __str__(self) -> str:
        return f"session of {self.user_id} on {self.device}"
