"""What the counter takes in price steps, and the price lists that were set."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.people import Person


class Demand(models.Model):
    """What the counter takes a week of one cut or ground product from these kinds.

    `steps` is a list of {"upto_kg", "price_cents_per_kg"}: upto rises and counts from nothing, price falls.
    `lean_pct` is set for a ground product. Where it is sold out of the freezer too, `frozen_upto_kg` a week bring
    `frozen_price_cents_per_kg`; `frozen_kept_cents_per_kg` is what a kilogram still there after a plan is worth to it.
    """

    slug = models.CharField(max_length=60)
    group = models.CharField(max_length=120)
    kinds = models.JSONField()
    steps = models.JSONField()
    shelf_days = models.PositiveSmallIntegerField(default=5)
    salvage_cents_per_kg = models.FloatField(default=0.0)
    lean_pct = models.FloatField(null=True)
    frozen_upto_kg = models.FloatField(null=True)
    frozen_price_cents_per_kg = models.FloatField(null=True)
    frozen_kept_cents_per_kg = models.FloatField(default=0.0)

    class Meta:
        ordering = ("group", "slug")
        constraints = (
            models.UniqueConstraint(fields=("slug", "group"), name="demand_once"),
            models.CheckConstraint(condition=Q(salvage_cents_per_kg__gte=0), name="demand_salvage"),
            models.CheckConstraint(
                condition=Q(frozen_upto_kg=None, frozen_price_cents_per_kg=None, frozen_kept_cents_per_kg=0)
                | Q(
                    frozen_upto_kg__isnull=False,
                    frozen_upto_kg__gt=0,
                    frozen_price_cents_per_kg__isnull=False,
                    frozen_price_cents_per_kg__gte=0,
                    frozen_kept_cents_per_kg__gte=0,
                ),
                name="demand_frozen",
            ),
        )

    def __str__(self) -> str:
        return f"{self.slug} ({self.group})"


class PriceList(AppendOnly):
    """A price list as it was set; the newest is the one that holds."""

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)


class Price(AppendOnly):
    """One line of a price list: a cut of a group of kinds, its price and what it cost [cents/kg]."""

    price_list = models.ForeignKey(PriceList, on_delete=models.PROTECT, related_name="prices")
    slug = models.CharField(max_length=60)
    group = models.CharField(max_length=120)
    price_cents_per_kg = models.FloatField()
    cost_cents_per_kg = models.FloatField(null=True)
    by_hand = models.BooleanField(default=False)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("price_list", "slug", "group"), name="price_once"),
            models.CheckConstraint(condition=Q(price_cents_per_kg__gte=0), name="price_not_negative"),
        )
