"""The block: a side being cut and every weight that comes off it."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.people import Person
from gambrel.shop.records.models.sides import Side


class Cutting(models.Model):
    """One side on the block, from the first cut to the last weight. `begun_kg` is its weight off the rail."""

    side = models.OneToOneField(Side, on_delete=models.PROTECT, related_name="cutting")
    begun_at = models.DateTimeField(db_index=True)
    begun_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    begun_kg = models.DecimalField(max_digits=7, decimal_places=3)
    ended_at = models.DateTimeField(null=True, db_index=True)
    ended_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    ways = models.JSONField(default=dict)
    """The ways the side is really broken, piece to way."""

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(begun_kg__gt=0), name="cutting_begun_kg"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=models.F("begun_at")),
                name="cutting_ends_after",
            ),
        )

    def __str__(self) -> str:
        return f"cutting of {self.side}"


class ScaleWeight(AppendOnly):
    """A weight at the block. `key` is made where it was typed: sent twice, it is kept once.

    `typed` keeps the digits. A line with `corrects` replaces that line; with `taken_out` it takes it out.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    cutting = models.ForeignKey(Cutting, on_delete=models.PROTECT, related_name="weights")
    slug = models.CharField(max_length=60)
    weight_kg = models.DecimalField(max_digits=7, decimal_places=3)
    tare_kg = models.DecimalField(max_digits=6, decimal_places=3, default=0)
    typed = models.CharField(max_length=30)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    device = models.CharField(max_length=60, blank=True)
    corrects = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="corrected_by")
    taken_out = models.BooleanField(default=False)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = (models.Index(fields=("cutting", "at")), models.Index(fields=("slug", "at")))
        constraints = (
            models.CheckConstraint(condition=Q(weight_kg__gt=0), name="scale_weight_above_zero"),
            models.CheckConstraint(condition=Q(tare_kg__gte=0), name="scale_tare"),
            models.CheckConstraint(
                condition=Q(taken_out=False) | Q(corrects__isnull=False), name="taken_out_weight_corrects"
            ),
        )
