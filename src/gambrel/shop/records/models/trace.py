"""Lots that may not go out, and drills that show how fast a lot is found."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.packs import Lot, Pack
from gambrel.shop.records.models.people import Person


class LotHold(AppendOnly):
    """From here on the lot is held, or let go: the newest line counts. Nothing of a held lot is sold."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="holds")
    held = models.BooleanField()
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=200)

    class Meta:
        constraints = (models.CheckConstraint(condition=~Q(why=""), name="hold_says_why"),)


class Drill(models.Model):
    """A recall rehearsed: which lots, how many packs should lie here, when it began and ended."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    asked = models.CharField(max_length=40)
    """The pack or lot that it was about."""
    lots = models.JSONField()
    """Numbers of the lots that hang together with it."""
    begun_at = models.DateTimeField(db_index=True)
    begun_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True)
    here_count = models.PositiveIntegerField()
    """Packs that the records say are here."""
    gone_count = models.PositiveIntegerField()
    named_count = models.PositiveIntegerField()
    """Of those that are gone: packs of which the records say to whom."""
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=models.F("begun_at")),
                name="drill_ends_after",
            ),
            models.CheckConstraint(condition=Q(named_count__lte=models.F("gone_count")), name="drill_named"),
        )

    def __str__(self) -> str:
        return f"drill {self.pk}, {self.asked}"


class DrillFind(AppendOnly):
    """A pack held in the hand during a drill."""

    drill = models.ForeignKey(Drill, on_delete=models.PROTECT, related_name="finds")
    pack = models.ForeignKey(Pack, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("drill", "pack"), name="found_once_a_drill"),)
