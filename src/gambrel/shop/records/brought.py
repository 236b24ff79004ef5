"""What sides brought so far, cut by cut: sold and not brought back, and what lies packed at the price on it.

Packs by the thousand are summed by the database; what is on hand has a table of its own, which is short.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Case, F, FloatField, Sum, Value, When
from django.db.models.functions import Cast

from gambrel.shop.records.models import BACK, OnHand, Pack, PackEnd, PackEvent

BySlug = dict[str, float]
_SIGN = Case(When(what__in=list(BACK), then=Value(-1)), default=Value(1))


@dataclass(frozen=True)
class Brought:
    """One side: cents sold, kilograms and cents on the shelf, kilograms ever packed, all by slug."""

    sold_cents: BySlug = field(default_factory=dict)
    shelf_cents: BySlug = field(default_factory=dict)
    shelf_kg: BySlug = field(default_factory=dict)
    packed_kg: BySlug = field(default_factory=dict)

    def cents(self, slugs: Iterable[str] | None = None) -> float:
        """Sold and on the shelf; of these cuts, or of all."""
        wanted = None if slugs is None else set(slugs)
        return sum(
            cents for part in (self.sold_cents, self.shelf_cents) for slug, cents in part.items()
            if wanted is None or slug in wanted
        )  # fmt: skip


def brought_by(cuttings: Iterable[int]) -> Mapping[int, Brought]:
    """Cutting to what its packs brought. Three queries."""
    keys = list(cuttings)
    found = {key: Brought() for key in keys}
    cutting = "lot__cutting"
    packs = Pack.objects.filter(**{f"{cutting}__in": keys})
    for key, slug, kg in packs.values_list(cutting, "slug").annotate(kg=Sum("net_kg")):
        found[key].packed_kg[slug] = float(kg)
    events = PackEvent.objects.filter(
        **{f"pack__{cutting}__in": keys}, what__in=(PackEnd.SOLD, PackEnd.RETURNED)
    )
    for key, slug, cents in events.values_list(f"pack__{cutting}", "pack__slug").annotate(
        money=Sum(_SIGN * F("cents"))
    ):
        found[key].sold_cents[slug] = float(cents)
    value = Cast(F("net_kg"), FloatField()) * F("pack__price_cents_per_kg")
    here = OnHand.objects.filter(**{f"{cutting}__in": keys})
    for key, slug, kg, cents in here.values_list(cutting, "slug").annotate(
        kg=Sum("net_kg"), money=Sum(value)
    ):
        found[key].shelf_kg[slug], found[key].shelf_cents[slug] = float(kg), float(cents or 0.0)
    return found
