"""The grinder: trim that was bought, what became of a tub, clean-ups, batches with what went in, and fat tests."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from gambrel.catalog.kinds import SPECIES
from gambrel.plan.week import INSPECTIONS
from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.block import ScaleWeight
from gambrel.shop.records.models.people import Person


class BoughtTrim(AppendOnly):
    """A box of trim from another plant, as its papers say: plant number, lot and day it was made."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    slug = models.CharField(max_length=60)
    species = models.CharField(max_length=10)
    inspected = models.CharField(max_length=10)
    weight_kg = models.DecimalField(max_digits=7, decimal_places=3)
    lean_pct = models.FloatField()
    establishment = models.CharField(max_length=40)
    supplier_lot = models.CharField(max_length=60)
    made_on = models.DateField()
    cost_cents_per_kg = models.FloatField(default=0)
    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(weight_kg__gt=0), name="bought_trim_weight"),
            models.CheckConstraint(condition=Q(lean_pct__range=(0, 100)), name="bought_trim_lean"),
            models.CheckConstraint(condition=Q(species__in=SPECIES), name="bought_trim_species"),
            models.CheckConstraint(condition=Q(inspected__in=INSPECTIONS), name="bought_trim_inspected"),
            models.CheckConstraint(
                condition=~Q(establishment="") & ~Q(supplier_lot=""), name="bought_trim_papers"
            ),
        )


class TubEnd(models.TextChoices):
    FROZEN = "frozen"
    THAWED = "thawed"
    THROWN = "thrown"
    """Out of the shop unground: thrown away, rendered or sold as it is."""


class TubEvent(AppendOnly):
    """What became of a tub of trim, off the block's scale or bought; the newest line says where it is.

    `weight_kg` is what was thrown away, None for the others.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    weight = models.ForeignKey(ScaleWeight, null=True, on_delete=models.PROTECT, related_name="tub_events")
    bought = models.ForeignKey(BoughtTrim, null=True, on_delete=models.PROTECT, related_name="tub_events")
    what = models.CharField(max_length=6, choices=TubEnd.choices)
    weight_kg = models.DecimalField(max_digits=7, decimal_places=3, null=True)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(weight__isnull=True) ^ Q(bought__isnull=True), name="tub_event_of_one"
            ),
            models.CheckConstraint(condition=Q(what__in=TubEnd.values), name="tub_event"),
        )


class CleanUp(AppendOnly):
    """The grinder and everything that raw meat touches, cleaned and sanitised."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)


class Batch(models.Model):
    """One product ground at once. `clean_up` is the one before it: what is between two clean-ups is one lot.

    `asked` is what was planned: [{"tub", "kg"}]. `out_kg` is what came out, None until it is closed.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=30)
    lean_pct = models.FloatField()
    inspected = models.CharField(max_length=10)
    owner_name = models.CharField(max_length=80, blank=True)
    clean_up = models.ForeignKey(CleanUp, null=True, on_delete=models.PROTECT, related_name="batches")
    asked = models.JSONField(default=list)
    begun_at = models.DateTimeField(db_index=True)
    begun_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, db_index=True)
    ended_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    out_kg = models.DecimalField(max_digits=7, decimal_places=3, null=True)
    meat_c = models.FloatField(null=True)
    plate_mm = models.FloatField(null=True)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(lean_pct__range=(1, 99)), name="batch_lean"),
            models.CheckConstraint(condition=Q(inspected__in=INSPECTIONS), name="batch_inspected"),
            models.CheckConstraint(
                condition=~Q(inspected="custom") | ~Q(owner_name=""), name="custom_batch_has_owner"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | (Q(out_kg__gt=0) & Q(clean_up__isnull=False)),
                name="closed_batch_is_whole",
            ),
        )

    def __str__(self) -> str:
        return self.code


class BatchInput(AppendOnly):
    """Trim weighed into a batch: off the block's scale, bought, or carried over from the batch before.

    `lean_pct` is what it counted as. A line with `corrects` replaces that line; with `taken_out` it takes it out.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="inputs")
    weight = models.ForeignKey(ScaleWeight, null=True, on_delete=models.PROTECT, related_name="ground")
    bought = models.ForeignKey(BoughtTrim, null=True, on_delete=models.PROTECT, related_name="ground")
    carried = models.ForeignKey(Batch, null=True, on_delete=models.PROTECT, related_name="carried_into")
    weight_kg = models.DecimalField(max_digits=7, decimal_places=3)
    typed = models.CharField(max_length=30)
    lean_pct = models.FloatField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    corrects = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="corrected_by")
    taken_out = models.BooleanField(default=False)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = (models.Index(fields=("batch", "at")),)
        constraints = (
            models.CheckConstraint(condition=Q(weight_kg__gt=0), name="batch_input_above_zero"),
            models.CheckConstraint(
                condition=Q(weight__isnull=False, bought__isnull=True, carried__isnull=True)
                | Q(weight__isnull=True, bought__isnull=False, carried__isnull=True)
                | Q(weight__isnull=True, bought__isnull=True, carried__isnull=False),
                name="batch_input_of_one",
            ),
            models.CheckConstraint(
                condition=Q(taken_out=False) | Q(corrects__isnull=False), name="taken_out_input_corrects"
            ),
        )


class LeanTest(AppendOnly):
    """Fat of a batch as it was tested [%], and how."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="lean_tests")
    fat_pct = models.FloatField()
    how = models.CharField(max_length=80, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(fat_pct__range=(0, 100)), name="lean_test_fat"),)
