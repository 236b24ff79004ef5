"""Where animals come from and what was paid for them."""

from __future__ import annotations

from django.db import models

from gambrel.catalog.bill import BASES
from gambrel.catalog.kinds import SEXES
from gambrel.plan.week import INSPECTIONS


class Supplier(models.Model):
    name = models.CharField(max_length=80, unique=True)
    contact = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)

    def __str__(self) -> str:
        return self.name


class Animal(models.Model):
    """One animal: its tag, kind, sex, age by birth or teeth, where it came from, and its kill.

    `kind` is the slug of a kind of the catalogue or of the shop's own. An animal killed for its owner (custom) is
    never sold and must name that owner.
    """

    tag = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=40, db_index=True)
    sex = models.CharField(max_length=10)
    born_on = models.DateField(null=True, blank=True)
    age_months = models.PositiveSmallIntegerField(null=True, blank=True)
    aged_by = models.CharField(
        max_length=5, default="birth", choices=[("birth", "birth"), ("teeth", "teeth")]
    )
    maturity = models.CharField(max_length=4, blank=True)
    kph_pct = models.FloatField(null=True, blank=True)
    supplier = models.ForeignKey(
        Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="animals"
    )
    killed_on = models.DateField(db_index=True)
    killed_at_plant = models.CharField(max_length=80, blank=True)
    inspected = models.CharField(max_length=10, default="federal")
    owner_name = models.CharField(max_length=80, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=models.Q(sex__in=SEXES), name="animal_sex"),
            models.CheckConstraint(condition=models.Q(inspected__in=INSPECTIONS), name="animal_inspected"),
            models.CheckConstraint(
                condition=~models.Q(inspected="custom") | ~models.Q(owner_name=""), name="custom_has_owner"
            ),
            models.CheckConstraint(
                condition=models.Q(kph_pct__isnull=True) | models.Q(kph_pct__range=(0, 12)), name="animal_kph"
            ),
        )

    def __str__(self) -> str:
        return self.tag


class Bill(models.Model):
    """What the animal cost: by live weight, on the rail, by the head, or raised at home; with the kill fee."""

    animal = models.OneToOneField(Animal, on_delete=models.PROTECT, related_name="bill")
    basis = models.CharField(max_length=6)
    price_cents_per_kg = models.FloatField(null=True, blank=True)
    live_kg = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    paid_cents = models.PositiveIntegerField()
    kill_fee_cents = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=models.Q(basis__in=BASES), name="bill_basis"),
            models.CheckConstraint(
                condition=~models.Q(basis="live") | models.Q(live_kg__gt=0), name="live_bill_has_weight"
            ),
        )

    def __str__(self) -> str:
        return f"{self.animal} {self.basis}"
