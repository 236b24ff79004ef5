"""What lies in the case, the freezer and the dry-ageing room; what to sell first, what runs low, what is past."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Min, QuerySet, Sum

from gambrel.shop.records.models import BACK, OnHand, Pack, PackEnd, PackEvent, Place

FIRST_COUNT = 40
"""So many packs are named to be sold first; the rest has time."""
SOON_DAYS = 2
WEEKS = 4
MOST_COUNTED = 400
"""A count names every pack, so it is of one place and product, or of a place with no more than this."""


@dataclass(frozen=True, slots=True)
class ProductHere:
    """One product in one place [kg]. `week_kg` is what the counter sold of it a week, over the last four."""

    place: str
    slug: str
    species: str
    count: int
    weight_kg: float
    first_use_by: date | None
    week_kg: float

    @property
    def weeks_left(self) -> float | None:
        """At what sold lately; None where nothing did."""
        return self.weight_kg / self.week_kg if self.week_kg > 0 else None


@dataclass(frozen=True, slots=True)
class LowProduct:
    slug: str
    species: str
    weight_kg: float
    week_kg: float


@dataclass(frozen=True, slots=True)
class StockPage:
    """`first` are packs by date, those past it among them."""

    today: date
    products: tuple[ProductHere, ...]
    first: tuple[OnHand, ...]
    low: tuple[LowProduct, ...]

    @property
    def places(self) -> tuple[tuple[str, tuple[ProductHere, ...]], ...]:
        found = [(place, tuple(one for one in self.products if one.place == place)) for place in Place.values]
        return tuple((str(place), products) for place, products in found if products)

    @property
    def past(self) -> tuple[OnHand, ...]:
        return tuple(one for one in self.first if one.use_by is not None and one.use_by < self.today)

    @property
    def soon(self) -> tuple[OnHand, ...]:
        return tuple(one for one in self.first if one.use_by is not None and one.use_by >= self.today)


def stock_page(*, at: datetime, today: date) -> StockPage:
    """Everything on hand, in four queries however much was sold before."""
    week_kg = sold_a_week_kg(at)
    rows = OnHand.objects.values_list("place", "slug", "species").annotate(
        count=Count("*"), kg=Sum("net_kg"), first_on=Min("use_by")
    )
    products = tuple(
        ProductHere(place, slug, species, count, float(kg), use_by, week_kg.get((slug, species), 0.0))
        for place, slug, species, count, kg, use_by in rows.order_by("place", "slug", "species")
    )
    return StockPage(today, products, tuple(sell_first()), tuple(low_products(products, week_kg)))


def sell_first(place: str = "") -> QuerySet[OnHand]:
    """Packs by their date, the oldest first; in the freezer only once they near it."""
    rows = OnHand.objects.filter(use_by__isnull=False).select_related("lot")
    rows = rows.filter(place=place) if place else rows
    return rows.order_by("use_by", "pack_id")[:FIRST_COUNT]


def sold_a_week_kg(at: datetime) -> dict[tuple[str, str], float]:
    """Slug and species to what the counter sold of it a week [kg], less what came back."""
    rows = PackEvent.objects.filter(what__in=(PackEnd.SOLD, PackEnd.RETURNED),
                                    at__gt=at - timedelta(weeks=WEEKS), at__lte=at)  # fmt: skip
    sums = rows.values_list("pack__slug", "pack__lot__species", "what").annotate(Sum("pack__net_kg"))
    sold: dict[tuple[str, str], float] = {}
    for slug, species, what, kg in sums:
        sign = -1 if what in BACK else 1
        sold[slug, species] = sold.get((slug, species), 0.0) + sign * float(kg) / WEEKS
    return sold


def low_products(products: Iterable[ProductHere], week_kg: dict[tuple[str, str], float]) -> list[LowProduct]:
    """What sells and lies here for less than a week at what sold lately, the shortest first."""
    here: dict[tuple[str, str], float] = {}
    for one in products:
        if one.place != Place.AGEING:
            here[one.slug, one.species] = here.get((one.slug, one.species), 0.0) + one.weight_kg
    low = [LowProduct(slug, species, here.get((slug, species), 0.0), kg)
           for (slug, species), kg in week_kg.items() if kg > 0 and here.get((slug, species), 0.0) < kg]  # fmt: skip
    return sorted(low, key=lambda one: (one.weight_kg / one.week_kg, one.slug))


def to_count(place: str, slug: str) -> QuerySet[OnHand]:
    """What the records say lies in a place, of one product or of all."""
    rows = OnHand.objects.filter(place=place).select_related("pack", "lot")
    return (rows.filter(slug=slug) if slug else rows).order_by("slug", "use_by", "pack_id")


@dataclass(frozen=True, slots=True)
class PackPage:
    """One pack, from the table to the customer."""

    pack: Pack
    here: OnHand | None
    events: tuple[PackEvent, ...]


def pack_page(pack: Pack) -> PackPage:
    events = PackEvent.objects.filter(pack=pack).select_related("by", "customer").order_by("at", "pk")
    return PackPage(pack, OnHand.objects.filter(pack=pack).first(), tuple(events))
