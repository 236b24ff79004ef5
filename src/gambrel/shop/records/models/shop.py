"""The shop itself: its name, zone, rails' limits, hours, wages and margin; and the kinds of its own."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import F, Q

from gambrel.catalog.ways import WORK
from gambrel.plan.week import WEEKDAYS
from gambrel.shop.records.models.people import Units

MOST_MIN_A_DAY = 1200 * 60.0
MOST_AT_ONCE = 500


def default_minutes() -> dict[str, float]:
    return {"knife": 480.0, "saw": 120.0, "grinder": 120.0, "packer": 480.0}


def default_cutting_days() -> list[str]:
    return ["mon", "tue", "wed", "thu", "fri"]


def _minutes_on_weekdays() -> Q:
    each = Q()
    for day in WEEKDAYS:
        each &= _within(f"minutes_on__{day}", MOST_MIN_A_DAY)
    return each


def _within(name: str, most: float) -> Q:
    """What a table by kind of work may hold; a kind of work that is not in it passes."""
    each = Q()
    for work in WORK:
        each &= Q(**{f"{name}__{work}__gte": 0, f"{name}__{work}__lte": most})
    return each


class ShopProfile(models.Model):
    """One line: this shop. Minutes are of work by skill on a cutting day; money in cents; rail in millimetres."""

    name = models.CharField(max_length=80)
    zone = models.CharField(max_length=60, default="UTC")
    language = models.CharField(max_length=2, default="en")
    weight_unit = models.CharField(max_length=2, choices=Units.choices, default=Units.LB)
    cutting_days = models.JSONField(default=default_cutting_days)
    minutes_a_day = models.JSONField(default=default_minutes)
    minutes_on = models.JSONField(default=dict, blank=True)
    """Other minutes on a weekday, {"sat": {"knife": 240.0}}; what is not there is as on every cutting day."""
    closed_on = models.JSONField(default=list, blank=True)
    """Days, "2026-12-25", on which nothing is cut, whatever weekday they are."""
    wage_cents_per_hour = models.PositiveIntegerField(default=2400)
    overtime_minutes_a_day = models.JSONField(default=dict, blank=True)
    """How much longer than that may be worked, by kind of work; one that is not there: not at all."""
    overtime_cents_per_hour = models.PositiveIntegerField(null=True, blank=True)
    """None: the usual share more than the wage."""
    at_once = models.JSONField(default=dict, blank=True)
    """How many can do a kind of work at once (blocks, saws, grinders, benches); one that is not there: no limit."""
    open_min = models.FloatField(null=True, blank=True)
    """How long they can be worked at on a cutting day."""
    freezer_holds_kg = models.FloatField(null=True, blank=True)
    """None: no limit."""
    freezer_cost_cents_per_kg = models.FloatField(default=0.0)
    rail_per_side_mm = models.PositiveIntegerField(default=600)
    srm_policy_bison = models.CharField(max_length=20, default="as_cattle")
    trim = models.CharField(max_length=10, default="close")
    waste_cents_per_kg = models.FloatField(default=0.0)
    hanging_on_cents_per_kg = models.FloatField(default=0.0)
    target_margin_pct = models.FloatField(default=30.0)
    packing_cents_per_kg = models.FloatField(default=0.0)
    overhead_cents_per_head = models.PositiveIntegerField(default=0)
    price_ending_cents = models.PositiveSmallIntegerField(default=99)
    may_lose_pct = models.FloatField(default=20.0)
    kinds_used = models.JSONField(default=list, blank=True)
    """Slugs of the kinds that come here, for choices; empty: all."""
    address = models.CharField(max_length=160, blank=True, default="")
    """Place of business, as it stands on a label."""
    establishment = models.CharField(max_length=20, blank=True, default="")
    """The number of an inspected establishment, where packs are made under inspection; empty: a retail shop."""
    gs1_prefix = models.CharField(max_length=12, blank=True, default="")
    """The company prefix that GS1 gave the shop; empty: codes for its own counter alone."""
    country = models.CharField(max_length=2, default="us")
    """Whose rules of labels hold: us, ca or eu."""
    code_layout = models.CharField(max_length=24, blank=True, default="upc-price-5")
    """Where the digits of the shop's own code stand, as its till reads them; empty: no such code."""
    label_size = models.CharField(max_length=24, blank=True, default="")
    """The roll or sheet in the printer; empty: the first of the list."""
    label_stock = models.JSONField(default=list, blank=True)
    """What the labels in the printer have on them already: legend, safe-handling, maker."""
    lean_said = models.JSONField(default=dict, blank=True)
    """Lean [%] that the shop gives to pieces whose name says none, by slug; the grinder is offered these too."""
    nutrition_exempt_why = models.CharField(max_length=120, blank=True, default="")
    comparison_is_public = models.BooleanField(default=False)
    prices_are_public = models.BooleanField(default=False)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(pk=1), name="one_shop"),
            models.CheckConstraint(condition=Q(weight_unit__in=["lb", "kg"]), name="shop_unit"),
            models.CheckConstraint(condition=Q(price_ending_cents__lt=100), name="shop_ending"),
            models.CheckConstraint(condition=_minutes_on_weekdays(), name="shop_minutes_on"),
            models.CheckConstraint(
                condition=_within("overtime_minutes_a_day", MOST_MIN_A_DAY), name="shop_overtime"
            ),
            models.CheckConstraint(
                condition=Q(overtime_cents_per_hour=None)
                | Q(overtime_cents_per_hour__gte=F("wage_cents_per_hour")),
                name="shop_overtime_wage",
            ),
            models.CheckConstraint(condition=_within("at_once", MOST_AT_ONCE), name="shop_at_once"),
            models.CheckConstraint(
                condition=Q(open_min=None) | Q(open_min__gt=0, open_min__lte=24 * 60), name="shop_open"
            ),
            models.CheckConstraint(
                condition=Q(at_once={}) | Q(open_min__isnull=False), name="shop_at_once_while_open"
            ),
            models.CheckConstraint(
                condition=Q(freezer_holds_kg=None) | Q(freezer_holds_kg__gte=0), name="shop_freezer_holds"
            ),
            models.CheckConstraint(condition=Q(freezer_cost_cents_per_kg__gte=0), name="shop_freezer_cost"),
        )

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.pk = 1
        super().save(*args, **kwargs)


class OwnKind(models.Model):
    """A kind the shop added: the fields of a kind's table as they are written in a kinds file."""

    slug = models.SlugField(max_length=40, unique=True)
    fields = models.JSONField()

    def __str__(self) -> str:
        return self.slug
