"""A share of an animal: whose, how much of it, how it is wanted cut, on which terms, and what came of it."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from gambrel.catalog.portions import PORTIONS
from gambrel.shop.records.models.orders import Customer, OrderState
from gambrel.shop.records.models.people import Person
from gambrel.shop.records.models.supply import Animal


class Share(models.Model):
    """`wishes` and `terms` are kept as the sell step takes them; `token` opens the customer's page, "" while it is
    withdrawn. `foretold` is what was foretold when it was cut [kg], beside `taken_kg` that came.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    code = models.CharField(max_length=20, unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="shares")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="shares")
    portion = models.CharField(max_length=8)
    bought_on = models.DateField()
    wishes = models.JSONField()
    terms = models.JSONField()
    state = models.CharField(max_length=9, choices=OrderState.choices, default=OrderState.OPEN)
    token = models.CharField(max_length=64, blank=True, db_index=True)
    taken_kg = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    ground_kg = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    handed_on = models.DateField(null=True)
    foretold = models.JSONField(null=True)
    agreed_by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = (models.Index(fields=("state", "bought_on")),)
        constraints = (
            models.CheckConstraint(condition=Q(portion__in=tuple(PORTIONS)), name="share_portion"),
            models.CheckConstraint(condition=Q(state__in=OrderState.values), name="share_state"),
            models.CheckConstraint(
                condition=~Q(state="filled") | (Q(taken_kg__gt=0) & Q(handed_on__isnull=False)),
                name="handed_share_was_weighed",
            ),
            models.CheckConstraint(
                condition=Q(ground_kg__isnull=True)
                | Q(ground_kg__gte=0, ground_kg__lte=models.F("taken_kg")),
                name="share_ground",
            ),
            models.UniqueConstraint(fields=("token",), condition=~Q(token=""), name="share_token_once"),
        )

    def __str__(self) -> str:
        return self.code
