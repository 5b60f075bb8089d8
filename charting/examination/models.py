"""What the examining hand found: muscles, and how far joints move."""

from django.db import models

from charting.visits.models import Visit


class Side(models.TextChoices):
    RIGHT = "right", "Right"
    LEFT = "left", "Left"


class MuscleFinding(models.Model):
    """One site of one muscle on one side. What each sign asks: bodymaps.reasoning.felt.

    A row without any sign is a place on the list that is still to be examined. "" was not recorded; "NT" was
    not tested; neither is ever "no".
    """

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="muscle_findings")
    # Ids of the atlas; a site of "" is the muscle as a whole.
    muscle = models.CharField(max_length=60)
    side = models.CharField(max_length=5, choices=Side.choices)
    site = models.CharField(max_length=60, blank=True)
    # {"band": "yes", "spot": "no", "strength": "4", ...}: ids and values of felt.signs().
    signs = models.JSONField(default=dict)
    # Pain on pressing, 0-10.
    pain = models.PositiveSmallIntegerField(null=True)
    # {"unit": "kPa", "trials": [210, 225, 230], "tip_cm2": 1.0}, {} when not measured.
    pressure = models.JSONField(default=dict)
    remark = models.CharField(max_length=300, blank=True)
    # The order of examining, from 1.
    position = models.PositiveSmallIntegerField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        app_label = "charting"
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["visit", "muscle", "side", "site"], name="one_muscle_finding")
        ]

    def __str__(self) -> str:
        return f"{self.muscle} {self.side} {self.site}"


class RangeReading(models.Model):
    """One movement of one side, active and passive. Units and limits: bodymaps.reasoning.ranges."""

    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="range_readings")
    movement = models.CharField(max_length=60)
    # "" for a movement that has no side.
    side = models.CharField(max_length=5, choices=Side.choices, blank=True)
    # In the unit of the movement (degrees, mm, cm); null: not measured.
    active = models.FloatField(null=True)
    passive = models.FloatField(null=True)
    instrument = models.CharField(max_length=40, blank=True)
    end_feel = models.CharField(max_length=40, blank=True)
    # Pain while moving, "yes", "no" or "NT"; "" when not recorded; and how strong, 0-10.
    hurts = models.CharField(max_length=3, blank=True)
    pain = models.PositiveSmallIntegerField(null=True)
    remark = models.CharField(max_length=200, blank=True)

    class Meta:
        app_label = "charting"
        constraints = [
            models.UniqueConstraint(fields=["visit", "movement", "side"], name="one_range_reading")
        ]

    def __str__(self) -> str:
        return f"{self.movement} {self.side}"
