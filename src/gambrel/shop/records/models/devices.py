"""Scales, scanners and shop systems: each has a key of its own, of which only the fingerprint is kept."""

from __future__ import annotations

from django.db import models

from gambrel.shop.records.models.people import Person


class Device(models.Model):
    """`fingerprint` is the SHA-256 of its key; the key itself is shown once, when it is made."""

    name = models.CharField(max_length=60, unique=True)
    fingerprint = models.CharField(max_length=64, unique=True)
    may_write = models.BooleanField(default=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return self.name
