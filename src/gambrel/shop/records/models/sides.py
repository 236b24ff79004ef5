"""Sides on the rail: hung, moved, weighed, taken down."""

from __future__ import annotations

import uuid

from django.db import models

from gambrel.plan.week import HALVES
from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.cooler import Rail
from gambrel.shop.records.models.people import Person
from gambrel.shop.records.models.supply import Animal


class SideState(models.TextChoices):
    HANGING = "hanging"
    ON_BLOCK = "block"
    CUT = "cut"
    GONE = "gone"
    """Sold whole or as quarters, or condemned: it left without being cut here."""


class Side(models.Model):
    """Half a carcass. `hot_kg` is the weight at the hot scale to the gram, `hot_typed` what was typed ("402 lb"):
    a bill is summed from that. Where it hangs now is kept here for speed.

    `position_mm` is from the rail's start. `style` and `ways` are what was chosen for it (piece to way).
    """

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="sides")
    half = models.CharField(max_length=5)
    hot_kg = models.DecimalField(max_digits=7, decimal_places=3)
    hot_typed = models.CharField(max_length=30, blank=True)
    hung_at = models.DateTimeField()
    state = models.CharField(
        max_length=7, choices=SideState.choices, default=SideState.HANGING, db_index=True
    )
    rail = models.ForeignKey(Rail, null=True, on_delete=models.PROTECT, related_name="sides")
    position_mm = models.PositiveIntegerField(null=True)
    style = models.CharField(max_length=60, blank=True)
    ways = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ("animal_id", "half")
        constraints = (
            models.UniqueConstraint(fields=("animal", "half"), name="each_side_once"),
            models.CheckConstraint(condition=models.Q(half__in=HALVES), name="side_half"),
            models.CheckConstraint(condition=models.Q(hot_kg__gt=0), name="side_hot"),
        )

    def __str__(self) -> str:
        return f"{self.animal.tag}-{self.half}"


class SideMove(AppendOnly):
    """Hung, moved or taken down: where to, when, by whom, why. No rail: it left the rails."""

    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="moves")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    rail = models.ForeignKey(Rail, null=True, on_delete=models.PROTECT, related_name="+")
    position_mm = models.PositiveIntegerField(null=True)
    state = models.CharField(max_length=7, choices=SideState.choices)
    why = models.CharField(max_length=200, blank=True)


class Weighing(AppendOnly):
    """A weight of a hanging side. `typed` is what was typed or sent, for the digits; `weight_kg` what it means.

    A line that corrects another replaces it; one with `taken_out` says that the other should not be there.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="weighings")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    weight_kg = models.DecimalField(max_digits=7, decimal_places=3)
    typed = models.CharField(max_length=30)
    corrects = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="corrected_by")
    taken_out = models.BooleanField(default=False)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = (models.Index(fields=("side", "at")),)
        constraints = (
            models.CheckConstraint(condition=models.Q(weight_kg__gt=0), name="weighing_above_zero"),
            models.CheckConstraint(
                condition=models.Q(taken_out=False) | models.Q(corrects__isnull=False),
                name="taken_out_weighing_corrects",
            ),
        )
