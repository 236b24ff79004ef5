"""Plans: what was asked, what came of it, which one the shop works by, and what a person has settled."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from gambrel.shop.records.models.people import Person
from gambrel.shop.records.models.sides import Side


class PlanState(models.TextChoices):
    WAITING = "waiting"
    SOLVING = "solving"
    DONE = "done"
    NO_PLAN = "no-plan"
    STOPPED = "stopped"
    """Stopped by a person, or the program ended while it was solving."""
    FAILED = "failed"


class Plan(models.Model):
    """One run of the planner. `week` is all that it started from, `answer` all that it said, as JSON.

    The newest plan with `accepted_at` is the one the shop works by.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    start_on = models.DateField()
    days = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=8, choices=PlanState.choices, default=PlanState.WAITING)
    progress = models.CharField(max_length=200, blank=True)
    beat_at = models.DateTimeField(null=True)
    """Last sign of life of whoever solves it."""
    finished_at = models.DateTimeField(null=True)
    profit_cents = models.BigIntegerField(null=True)
    bound_cents = models.BigIntegerField(null=True)
    gap_share = models.FloatField(null=True)
    week = models.JSONField(default=dict)
    answer = models.JSONField(default=dict)
    accepted_at = models.DateTimeField(null=True, db_index=True)
    accepted_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = (models.Index(fields=("-asked_at",)),)
        constraints = (
            models.CheckConstraint(condition=Q(days__gt=0), name="plan_days"),
            models.CheckConstraint(
                condition=Q(accepted_at__isnull=True) | Q(state="done"), name="only_a_done_plan_is_accepted"
            ),
        )

    def __str__(self) -> str:
        return f"plan {self.pk} from {self.start_on}"


class PlannedSide(models.Model):
    """A side in a plan: its day (None: it hangs on) and its ways."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="sides")
    side = models.ForeignKey(Side, on_delete=models.PROTECT, related_name="planned")
    day = models.DateField(null=True)
    weight_kg = models.FloatField()
    ways = models.JSONField(default=dict)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("plan", "side"), name="side_once_a_plan"),)


class PinnedSide(models.Model):
    """What a person has settled for a side: its day, some ways, or both; every plan keeps it."""

    side = models.OneToOneField(Side, on_delete=models.PROTECT, related_name="pin")
    day = models.DateField(null=True)
    ways = models.JSONField(default=dict)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()


class PlanQuestion(models.Model):
    """Something asked of a done plan that is answered by planning anew: another way or day of a side, or one more.

    `asked` is what was asked and `answer` what came of it, as JSON; a plan never changes, so neither does its answer.
    """

    class What(models.TextChoices):
        WAY = "way"
        DAY = "day"
        MORE = "more"

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="questions")
    what = models.CharField(max_length=4, choices=What.choices)
    asked = models.JSONField(default=dict)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=8, choices=PlanState.choices, default=PlanState.WAITING)
    beat_at = models.DateTimeField(null=True)
    answer = models.JSONField(default=dict)

    class Meta:
        indexes = (models.Index(fields=("plan", "-asked_at")),)

    def __str__(self) -> str:
        return f"question {self.pk} of {self.plan}"
