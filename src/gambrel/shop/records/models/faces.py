"""Rib faces: photographs as they were taken, what was read from them or by hand, and which reading counts."""

from __future__ import annotations

import uuid

from django.db import models

from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.people import Person
from gambrel.shop.records.models.sides import Side


class Photograph(AppendOnly):
    """A stored photograph: `file` is a name of our own in the shop's folder; `sha256` finds it taken twice."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="photographs")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    file = models.CharField(max_length=80, unique=True)
    content_type = models.CharField(max_length=20)
    sha256 = models.CharField(max_length=64, db_index=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()


class HowRead(models.TextChoices):
    READ = "read"
    """By the program alone."""
    OUTLINE = "outline"
    """Measured again from an outline that a person put right, or a tap inside the eye."""
    BY_HAND = "hand"
    """Dot grid and ruler."""


class FaceReading(AppendOnly):
    """What one reading said; each figure with the ends of its 90 % interval. A refused one has its reason.

    Points are [x, y] in the stored picture's pixels. Which reading counts is said by `FaceAccepted`.
    """

    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="face_readings")
    photograph = models.ForeignKey(Photograph, null=True, on_delete=models.PROTECT, related_name="readings")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    how = models.CharField(max_length=7, choices=HowRead.choices)
    refused = models.BooleanField(default=False)
    reason = models.TextField(blank=True)
    ribeye_cm2 = models.FloatField(null=True)
    ribeye_low_cm2 = models.FloatField(null=True)
    ribeye_high_cm2 = models.FloatField(null=True)
    fat_mm = models.FloatField(null=True)
    fat_low_mm = models.FloatField(null=True)
    fat_high_mm = models.FloatField(null=True)
    marbling_pct = models.FloatField(null=True)
    marbling_low_pct = models.FloatField(null=True)
    marbling_high_pct = models.FloatField(null=True)
    marbling_score = models.FloatField(null=True)
    outline_px = models.JSONField(null=True)
    answer = models.JSONField(default=dict)
    """Everything else the reader said, under its public names."""

    class Meta:
        indexes = (models.Index(fields=("side", "-at")),)


class FaceAccepted(AppendOnly):
    """A person says that this reading counts for its side; the newest line wins."""

    reading = models.ForeignKey(FaceReading, on_delete=models.PROTECT, related_name="accepted")
    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="accepted_faces")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = (models.Index(fields=("side", "-at")),)
