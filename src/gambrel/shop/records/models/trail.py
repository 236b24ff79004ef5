"""The audit trail: who did what, when and why. Nobody can edit it, the program included."""

from __future__ import annotations

from django.db import models

from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.people import Person


class AuditLine(AppendOnly):
    """`what` is a verb ("weighed again"), `record` and `record_id` what it was done to, `before` and `after`
    the figures that changed."""

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    by_name = models.CharField(max_length=80)
    what = models.CharField(max_length=60)
    record = models.CharField(max_length=40)
    record_id = models.CharField(max_length=60)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)
    why = models.CharField(max_length=300, blank=True)

    class Meta:
        indexes = (models.Index(fields=("record", "record_id")),)
