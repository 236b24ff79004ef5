"""Lots and packs, and what became of each pack."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import Q

from gambrel.catalog.kinds import SPECIES
from gambrel.plan.week import INSPECTIONS
from gambrel.shop.records.models.append_only import AppendOnly
from gambrel.shop.records.models.block import Cutting
from gambrel.shop.records.models.grind import Batch
from gambrel.shop.records.models.orders import Customer
from gambrel.shop.records.models.people import Person


class Lot(models.Model):
    """Meat of one cutting or one batch: species, inspection and owner never mix within it."""

    code = models.CharField(max_length=20, unique=True)
    cutting = models.ForeignKey(Cutting, null=True, on_delete=models.PROTECT, related_name="lots")
    batch = models.OneToOneField(Batch, null=True, on_delete=models.PROTECT, related_name="lot")
    made_on = models.DateField(db_index=True)
    kind = models.CharField(max_length=40)
    species = models.CharField(max_length=10)
    inspected = models.CharField(max_length=10)
    owner_name = models.CharField(max_length=80, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(species__in=SPECIES), name="lot_species"),
            models.CheckConstraint(condition=Q(inspected__in=INSPECTIONS), name="lot_inspected"),
            models.CheckConstraint(
                condition=~Q(inspected="custom") | ~Q(owner_name=""), name="custom_lot_has_owner"
            ),
            models.CheckConstraint(
                condition=Q(cutting__isnull=True) | Q(batch__isnull=True), name="lot_of_one"
            ),
        )

    def __str__(self) -> str:
        return self.code


class Packing(models.TextChoices):
    PAPER = "paper"
    TRAY = "tray"
    VACUUM = "vacuum"
    BULK = "bulk"
    """Open in the case, wrapped when it is sold."""


class Place(models.TextChoices):
    CASE = "case"
    FREEZER = "freezer"
    AGEING = "ageing"
    """The dry-ageing room."""


class Pack(AppendOnly):
    """A pack as it was weighed and priced. Its number is its serial: it stands on the label and is never used again.

    `piece` is what was weighed at the block where that is not what the pack is sold as; `place` is where it was
    laid first.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="packs")
    slug = models.CharField(max_length=60)
    piece = models.CharField(max_length=60, blank=True, default="")
    net_kg = models.DecimalField(max_digits=7, decimal_places=3)
    tare_kg = models.DecimalField(max_digits=6, decimal_places=3, default=0)
    at = models.DateTimeField()
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    use_by = models.DateField(null=True)
    frozen = models.BooleanField(default=False)
    packing = models.CharField(max_length=8, choices=Packing.choices, default=Packing.PAPER)
    place = models.CharField(max_length=8, choices=Place.choices, default=Place.CASE)
    price_cents_per_kg = models.FloatField(null=True)

    class Meta:
        indexes = (models.Index(fields=("slug", "at")), models.Index(fields=("use_by",)))
        constraints = (
            models.CheckConstraint(condition=Q(net_kg__gt=0), name="pack_net"),
            models.CheckConstraint(condition=Q(packing__in=Packing.values), name="pack_packing"),
            models.CheckConstraint(condition=Q(place__in=Place.values), name="pack_place"),
        )

    def __str__(self) -> str:
        return f"{self.lot.code}/{self.pk}"


class PackEnd(models.TextChoices):
    SOLD = "sold"
    RETURNED = "returned"
    SPOILED = "spoiled"
    EATEN = "eaten"
    """A staff meal or a taste over the counter."""
    MISSING = "missing"
    """A count did not find it."""
    FOUND = "found"
    MOVED = "moved"
    COUNTED = "counted"
    LABELLED = "labelled"


ENDS = frozenset((PackEnd.SOLD, PackEnd.SPOILED, PackEnd.EATEN, PackEnd.MISSING))
"""After one of these a pack is on hand no more."""
BACK = frozenset((PackEnd.RETURNED, PackEnd.FOUND))
"""After one of these it is on hand again."""


class PackEvent(AppendOnly):
    """Something that happened to a pack: sold for so many cents, returned, spoiled, eaten, moved, counted.

    `asked_cents` is what the label asked where it was sold for something else, which `why` explains. `place` is
    where it lies afterwards. `ticket` holds together what one customer took at once.
    """

    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    pack = models.ForeignKey(Pack, on_delete=models.PROTECT, related_name="events")
    what = models.CharField(max_length=8, choices=PackEnd.choices)
    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.PROTECT, related_name="+")
    cents = models.IntegerField(default=0)
    asked_cents = models.IntegerField(null=True)
    place = models.CharField(max_length=8, choices=Place.choices, blank=True, default="")
    customer = models.ForeignKey(Customer, null=True, on_delete=models.PROTECT, related_name="took")
    ticket = models.UUIDField(null=True, db_index=True)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(what__in=PackEnd.values), name="pack_event"),
            models.CheckConstraint(condition=Q(place__in=("", *Place.values)), name="pack_event_place"),
            models.CheckConstraint(
                condition=Q(asked_cents__isnull=True) | ~Q(why=""), name="override_says_why"
            ),
        )


class OnHand(models.Model):
    """A pack that is here now, and where. Kept by the service with every event, so that millions sold cost nothing.

    Slug, species, weight and date stand here once more for the same reason: a pack's own never change.
    """

    pack = models.OneToOneField(Pack, primary_key=True, on_delete=models.PROTECT, related_name="on_hand")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    slug = models.CharField(max_length=60)
    species = models.CharField(max_length=10, default="cattle")
    net_kg = models.DecimalField(max_digits=7, decimal_places=3)
    use_by = models.DateField(null=True)
    place = models.CharField(max_length=8, choices=Place.choices)
    since = models.DateTimeField()

    class Meta:
        indexes = (
            models.Index(fields=("use_by",)),
            models.Index(fields=("place", "slug", "species", "use_by", "net_kg")),
        )
