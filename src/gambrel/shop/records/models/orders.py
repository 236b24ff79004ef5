"""Customers and what was promised to them."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from gambrel.shop.records.models.people import Person


class Customer(models.Model):
    name = models.CharField(max_length=80)
    contact = models.CharField(max_length=120, blank=True)

    def __str__(self) -> str:
        return self.name


class OrderState(models.TextChoices):
    OPEN = "open"
    FILLED = "filled"
    CANCELLED = "cancelled"


class Order(models.Model):
    """So much of a cut, handed over by a day; `must`: a promise. `kinds` are the animals it may be from."""

    code = models.CharField(max_length=40, unique=True)
    customer = models.ForeignKey(Customer, null=True, on_delete=models.PROTECT, related_name="orders")
    slug = models.CharField(max_length=60)
    group = models.CharField(max_length=120)
    kinds = models.JSONField()
    weight_kg = models.DecimalField(max_digits=8, decimal_places=3)
    by_day = models.DateField()
    price_cents_per_kg = models.FloatField()
    must = models.BooleanField(default=True)
    shelf_days = models.PositiveSmallIntegerField(default=5)
    out_of_state = models.BooleanField(default=False)
    state = models.CharField(max_length=9, choices=OrderState.choices, default=OrderState.OPEN)
    taken_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = (models.Index(fields=("state", "by_day")),)
        constraints = (
            models.CheckConstraint(condition=Q(weight_kg__gt=0), name="order_weight"),
            models.CheckConstraint(condition=Q(state__in=OrderState.values), name="order_state"),
        )

    def __str__(self) -> str:
        return self.code
