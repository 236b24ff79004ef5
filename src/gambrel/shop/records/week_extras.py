"""What the plan starts from besides sides, counter and orders: packs, fresh and frozen, and shares of animals."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.db.models import QuerySet, Sum

from gambrel.catalog.kinds import Kind
from gambrel.catalog.portions import PORTIONS
from gambrel.measures import Findings
from gambrel.plan.owners import with_owners
from gambrel.plan.week import Group, Hanging, Share, Stock
from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.records import models
from gambrel.shop.records.models import OnHand, OrderState, Place
from gambrel.shop.records.selectors.trace import held_lots
from gambrel.shop.records.stored import restored


def stock_on_hand(kinds: Mapping[str, Kind], slugs: Iterable[str], *, start: date) -> tuple[Stock, ...]:
    """Fresh packs in the case that may still be sold when the plan starts, gathered by product, kind and last day."""
    rows = _to_be_sold(OnHand.objects.filter(place=Place.CASE, use_by__gte=start, slug__in=set(slugs)))
    return tuple(
        Stock(slug, _whose(kind, species, kinds), kg, use_by, inspected=inspected)
        for slug, species, kind, inspected, use_by, kg in _gathered(rows, "use_by")
    )


def frozen_on_hand(kinds: Mapping[str, Kind], slugs: Iterable[str]) -> tuple[Stock, ...]:
    """Packs in the freezer of products that are sold out of it; what was frozen in time has no last day here."""
    rows = _to_be_sold(OnHand.objects.filter(place=Place.FREEZER, slug__in=set(slugs)))
    return tuple(
        Stock(slug, _whose(kind, species, kinds), kg, frozen=True, inspected=inspected)
        for slug, species, kind, inspected, kg in _gathered(rows)
    )


def _to_be_sold(rows: QuerySet[OnHand]) -> QuerySet[OnHand]:
    """Nobody's own meat, and no lot that is held."""
    free = rows.filter(lot__owner_name="").exclude(lot__inspected="custom")
    return free.exclude(lot__in=held_lots(free.values_list("lot", flat=True).distinct()))


def _gathered(rows: QuerySet[OnHand], *also: str) -> list[tuple[Any, ...]]:
    """Product, species, kind and inspection of the lots, what else is asked, and the kilograms of all alike."""
    told = ("slug", "species", "lot__kind", "lot__inspected", *also)
    lines = rows.values_list(*told).annotate(kg=Sum("net_kg")).order_by(*told)
    return [(*line[:-1], float(line[-1])) for line in lines]


def _whose(kind: str, species: str, kinds: Mapping[str, Kind]) -> Group:
    """The kind of a lot, or, of one that is of several, every kind of its species."""
    if kind in kinds:
        return Group(kind, frozenset((kind,)))
    return Group(species, frozenset(one.slug for one in kinds.values() if one.species == species))


def shares_of(animals: Iterable[Hanging]) -> tuple[Share, ...]:
    """Open shares of these animals. Meat and cutting, paid for by hanging weight, are taken as by hot weight."""
    rows = models.Share.objects.filter(state=OrderState.OPEN, animal__tag__in=[one.id for one in animals])
    return tuple(map(_share, rows.select_related("customer", "animal").order_by("pk")))


def dealt(animals: tuple[Hanging, ...], shares: tuple[Share, ...]) -> tuple[Hanging, ...]:
    """The animals with their sides in shares; the plan itself tells which share has found no side."""
    return with_owners(animals, shares, Findings())


def _share(row: models.Share) -> Share:
    wishes, terms = restored(OwnerWishes, row.wishes), restored(Terms, row.terms)
    price = (terms.hanging_cents_per_kg or 0.0) + terms.cut_wrap_cents_per_kg
    return Share(row.code, row.animal.tag, PORTIONS[row.portion], row.customer.name, wishes.style,
                 wishes.ways, None, price)  # fmt: skip
