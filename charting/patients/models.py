"""The person."""

import uuid
from datetime import date

from django.db import models
from django.utils import timezone

from charting.staff.models import Practice, Site, User


class Patient(models.Model):
    """A person known to one practice."""

    class Sex(models.TextChoices):
        """The codes for administrative gender of HL7 FHIR R4."""

        UNKNOWN = "unknown", "Not recorded"
        FEMALE = "female", "Female"
        MALE = "male", "Male"
        OTHER = "other", "Other"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="patients")
    record_number = models.PositiveIntegerField(editable=False)
    family_name = models.CharField(max_length=80)
    given_names = models.CharField(max_length=80)
    birth_date = models.DateField()
    phone = models.CharField(max_length=32, blank=True)
    email = models.EmailField(blank=True)
    address = models.TextField(max_length=300, blank=True)
    remarks = models.TextField(max_length=2000, blank=True)
    sex = models.CharField(max_length=8, choices=Sex.choices, default=Sex.UNKNOWN)
    # Whom to call in an emergency.
    emergency_name = models.CharField(max_length=160, blank=True)
    emergency_phone = models.CharField(max_length=32, blank=True)
    emergency_relation = models.CharField(max_length=60, blank=True)
    # Name without accents and case, for search.
    search_name = models.CharField(max_length=200, editable=False)
    # Found to be the same person as another record, which holds everything since (charting.merging).
    merged_into = models.ForeignKey("self", on_delete=models.PROTECT, related_name="merged", null=True)
    merged_at = models.DateTimeField(null=True)
    # What was confirmed of the person until then is to be confirmed again: two people had been taken for one.
    doubted_at = models.DateTimeField(null=True)
    created_at = models.DateTimeField(auto_now_add=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["family_name", "given_names"]
        constraints = [
            models.UniqueConstraint(fields=["practice", "record_number"], name="one_record_number")
        ]
        indexes = [
            models.Index(fields=["practice", "search_name"], name="patient_search"),
            models.Index(fields=["practice", "birth_date"], name="patient_birth"),
            models.Index(fields=["practice", "-created_at"], name="patient_newest"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def name(self) -> str:
        return f"{self.given_names} {self.family_name}"

    def age_on(self, day: date) -> int:
        """Whole years on `day`. Somebody born on 29 February turns a year older on 1 March."""
        had_birthday = (day.month, day.day) >= (self.birth_date.month, self.birth_date.day)
        return day.year - self.birth_date.year - (not had_birthday)


class PatientIdentifier(models.Model):
    """A number under which another system knows the person. `system`: the address of its numbering (FHIR)."""

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="identifiers")
    system = models.CharField(max_length=200)
    value = models.CharField(max_length=120)
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        app_label = "charting"
        ordering = ["system", "value"]
        constraints = [
            models.UniqueConstraint(fields=["patient", "system", "value"], name="one_patient_identifier")
        ]

    def __str__(self) -> str:
        return f"{self.system}|{self.value}"


class PatientSite(models.Model):
    """Where a person is seen. Somebody at no site is known to who works at every site, and to nobody else."""

    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="at_sites")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="people")
    added_at = models.DateTimeField(default=timezone.now)

    class Meta:
        app_label = "charting"
        constraints = [models.UniqueConstraint(fields=["patient", "site"], name="once_at_a_site")]

    def __str__(self) -> str:
        return f"{self.patient_id} at {self.site_id}"


class EmergencyAccess(models.Model):
    """A chart opened by somebody who does not work where the person is seen: with a reason, for a short time,
    and shown to the owners until one of them has looked at it.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    patient = models.ForeignKey(Patient, on_delete=models.PROTECT, related_name="emergency_accesses")
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="emergency_accesses")
    reason = models.TextField(max_length=500)
    began_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    looked_at = models.DateTimeField(null=True)
    looked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+", null=True)
    # What the owner made of it.
    remark = models.TextField(max_length=500, blank=True)

    class Meta:
        app_label = "charting"
        indexes = [models.Index(fields=["user", "expires_at"], name="emergency_by_user")]

    def __str__(self) -> str:
        return f"emergency access to {self.patient_id} by {self.user_id}"
