"""Cooler rooms, their rails and their log."""

from __future__ import annotations

import uuid

from django.db import models

from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.people import Person


class CoolerRoom(models.Model):
    """`log_every_hours` is how often the shop's own food-safety plan wants the air read; None: no log is kept.

    A room that was used and is used no more is closed: it stays for what was logged and hung in it.
    """

    name = models.CharField(max_length=60, unique=True)
    log_every_hours = models.FloatField(null=True, blank=True, default=12.0)
    closed_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=models.Q(log_every_hours__isnull=True) | models.Q(log_every_hours__gt=0),
                name="room_log_hours",
            ),
        )

    def __str__(self) -> str:
        return self.name


class Rail(models.Model):
    """A rail of a room. `warmer_c` is how much warmer (below 0: colder) it hangs than the room's air.

    A rail that was used and is used no more is closed, as its room is.
    """

    room = models.ForeignKey(CoolerRoom, on_delete=models.PROTECT, related_name="rails")
    name = models.CharField(max_length=40)
    length_mm = models.PositiveIntegerField()
    order = models.PositiveSmallIntegerField(default=0)
    warmer_c = models.FloatField(default=0.0)
    closed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ("room_id", "order", "name")
        constraints = (
            models.UniqueConstraint(fields=("room", "name"), name="rail_name_once"),
            models.CheckConstraint(condition=models.Q(length_mm__gt=0), name="rail_length"),
        )

    def __str__(self) -> str:
        return f"{self.room.name}: {self.name}"


class CoolerReading(AppendOnly):
    """A line of the log: air, carcass under the fascia of the round, deep round [C], humidity [%]."""

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    room = models.ForeignKey(CoolerRoom, on_delete=models.PROTECT, related_name="readings")
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    air_c = models.FloatField(null=True)
    carcass_c = models.FloatField(null=True)
    deep_c = models.FloatField(null=True)
    humidity_pct = models.FloatField(null=True)
    note = models.CharField(max_length=200, blank=True)
    corrects = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="corrected_by")

    class Meta:
        indexes = (models.Index(fields=("room", "-at")),)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(air_c__isnull=False)
                | models.Q(carcass_c__isnull=False)
                | models.Q(deep_c__isnull=False)
                | models.Q(humidity_pct__isnull=False)
                | models.Q(corrects__isnull=False),
                name="cooler_reading_says_something",
            ),
            models.CheckConstraint(
                condition=models.Q(humidity_pct__isnull=True) | models.Q(humidity_pct__range=(0, 100)),
                name="cooler_humidity",
            ),
        )
