"""What finished sides teach of the shop's yields, and every forecast that a side went to the block with."""

from __future__ import annotations

from django.db import models

from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.block import Cutting
from gambrel.shop.records.models.sides import Side


class Lesson(AppendOnly):
    """What a finished side taught, as its weights stood then; the newest line of a cutting counts.

    `test` is a `learn.block.BlockTest`; None: the side does not balance, or no more, and teaches nothing. `chain` is
    made of this line and the `chain` of the one before, so that it stands for all lines up to this one.
    """

    cutting = models.ForeignKey(Cutting, on_delete=models.PROTECT, related_name="lessons")
    at = models.DateTimeField()
    test = models.JSONField(null=True)
    chain = models.CharField(max_length=64)


class SideForecast(AppendOnly):
    """What a side was to give when it came to the block, or was broken otherwise there; the newest line counts.

    `edition` names the yields it came from, which are those of all lessons up to `lesson`. `asked` is all else
    that it was made from, so that it can be made again; `told` is what it said.
    """

    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="forecasts")
    at = models.DateTimeField()
    edition = models.CharField(max_length=12)
    lesson = models.ForeignKey(Lesson, null=True, on_delete=models.PROTECT, related_name="+")
    asked = models.JSONField()
    told = models.JSONField()

    class Meta:
        indexes = (models.Index(fields=("side", "-id")),)
