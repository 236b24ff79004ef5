"""Rooms and rails that are in use; those that were closed stay in the records for what was there."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet

from gambrel.shop.records.models import CoolerRoom, Rail


def open_rails() -> QuerySet[Rail]:
    """Rails that sides may be hung on, each with its room."""
    return Rail.objects.filter(closed_on=None).select_related("room")


def rooms_in_use() -> QuerySet[CoolerRoom]:
    """Rooms that are not closed, each with its rails that are not."""
    rails = Prefetch("rails", queryset=Rail.objects.filter(closed_on=None))
    return CoolerRoom.objects.filter(closed_on=None).prefetch_related(rails).order_by("pk")
