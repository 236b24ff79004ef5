"""Money by animal, kind and supplier: what each animal cost, brought so far, and has left in packs.

Sums are made by the database over the animals of the period alone, so that ten years of packs do not slow it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Case, F, FloatField, QuerySet, Sum, Value, When
from django.db.models.functions import Cast

from gambrel.measures.money import round_half_up
from gambrel.shop.records.models import BACK, ENDS, Animal, Pack, PackEnd, PackEvent, ShopProfile
from gambrel.shop.records.week import kinds_of_shop

USUAL_DAYS, LONGEST_DAYS = 31, 92
LEAVES = {**dict.fromkeys(ENDS, 1), **dict.fromkeys(BACK, -1)}
"""How each event moves a pack off the shelf, or back onto it."""


@dataclass(frozen=True, slots=True)
class Account:
    """Money of one animal, or of many together, in cents; weights in kg.

    `cost_cents` is the bill, the kill and the charge by the head; None where no bill is in the records. The
    block's wages are not in it. `shelf_cents` is what lies packed and unsold, at the price on the packs.
    """

    name: str
    head: int
    kind: str
    supplier: str
    hot_kg: float
    cost_cents: int | None
    packed_kg: float
    sold_kg: float
    sold_cents: int
    shelf_kg: float
    shelf_cents: int

    @property
    def earned_cents(self) -> int | None:
        """Sold so far, less cost."""
        return None if self.cost_cents is None else self.sold_cents - self.cost_cents

    @property
    def margin_share(self) -> float | None:
        """Earned over sold; None before anything is sold, or without a bill."""
        return (
            None if self.earned_cents is None or self.sold_cents <= 0 else self.earned_cents / self.sold_cents
        )


@dataclass(frozen=True, slots=True)
class BooksPage:
    first: date
    last: date
    animals: tuple[Account, ...]
    kinds: tuple[Account, ...]
    suppliers: tuple[Account, ...]
    total: Account

    @property
    def only_total(self) -> tuple[Account, ...]:
        return (self.total,)


def books_page(shop: ShopProfile, *, first: date, last: date) -> BooksPage:
    """The accounts of the animals killed from `first` to `last`, both days counted."""
    animals = Animal.objects.filter(killed_on__range=(first, last)).select_related("bill", "supplier")
    rows = list(animals.annotate(hot_kg=Sum("sides__hot_kg")).order_by("-killed_on", "tag"))
    packed, gone, sold = _packed(animals), _gone(animals), _sold(animals)
    names = {slug: kind.name for slug, kind in kinds_of_shop().items()}
    accounts = tuple(
        _account(
            row, names.get(row.kind, row.kind), shop, packed.get(row.pk), gone.get(row.pk), sold.get(row.pk)
        )
        for row in rows
    )
    return BooksPage(
        first, last, accounts,
        _by(accounts, {one.name: one.kind for one in accounts}),
        _by(accounts, {one.name: one.supplier for one in accounts}),
        together("", accounts),
    )  # fmt: skip


def account_of(animal: Animal, shop: ShopProfile) -> Account:
    """The account of one animal."""
    only = Animal.objects.filter(pk=animal.pk).select_related("bill", "supplier")
    row = only.annotate(hot_kg=Sum("sides__hot_kg")).get()
    kind = kinds_of_shop().get(row.kind)
    packed, gone, sold = _packed(only), _gone(only), _sold(only)
    return _account(
        row, kind.name if kind else row.kind, shop, packed.get(row.pk), gone.get(row.pk), sold.get(row.pk)
    )


def usual_period(today: date) -> tuple[date, date]:
    """The last month of kills."""
    return today - timedelta(days=USUAL_DAYS - 1), today


Sums = tuple[float, float]
"""Kilograms and cents."""

_VALUE = Cast(F("net_kg"), FloatField()) * F("price_cents_per_kg")
_OFF_SHELF = Case(*(When(what=what, then=Value(sign)) for what, sign in LEAVES.items()), default=Value(0))


def _packed(animals: QuerySet[Animal]) -> dict[int, Sums]:
    packs = Pack.objects.filter(lot__cutting__side__animal__in=animals)
    rows = packs.values_list("lot__cutting__side__animal").annotate(kg=Sum("net_kg"), money=Sum(_VALUE))
    return {animal: (float(kg or 0), float(cents or 0)) for animal, kg, cents in rows}


def _gone(animals: QuerySet[Animal]) -> dict[int, Sums]:
    """What has left the shelf for good: weight and the price that stood on it."""
    events = PackEvent.objects.filter(pack__lot__cutting__side__animal__in=animals)
    value = Cast(F("pack__net_kg"), FloatField()) * F("pack__price_cents_per_kg")
    rows = events.values_list("pack__lot__cutting__side__animal").annotate(
        kg=Sum(_OFF_SHELF * Cast(F("pack__net_kg"), FloatField())), money=Sum(_OFF_SHELF * value)
    )
    return {animal: (float(kg or 0), float(cents or 0)) for animal, kg, cents in rows}


def _sold(animals: QuerySet[Animal]) -> dict[int, Sums]:
    """What was sold and not brought back, and the money of it."""
    events = PackEvent.objects.filter(
        pack__lot__cutting__side__animal__in=animals, what__in=(PackEnd.SOLD, PackEnd.RETURNED)
    )
    rows = events.values_list("pack__lot__cutting__side__animal").annotate(
        kg=Sum(_OFF_SHELF * Cast(F("pack__net_kg"), FloatField())), money=Sum(_OFF_SHELF * F("cents"))
    )
    return {animal: (float(kg or 0), float(cents or 0)) for animal, kg, cents in rows}


def _account(
    row: Animal, kind: str, shop: ShopProfile, packed: Sums | None, gone: Sums | None, sold: Sums | None
) -> Account:
    bill = getattr(row, "bill", None)
    nothing = (0.0, 0.0)
    packed, gone, sold = packed or nothing, gone or nothing, sold or nothing
    hot_kg: Decimal | None = row.hot_kg  # type: ignore[attr-defined]
    cost = None if bill is None else bill.paid_cents + bill.kill_fee_cents + shop.overhead_cents_per_head
    return Account(
        name=row.tag,
        head=1,
        kind=kind,
        supplier=row.supplier.name if row.supplier else "",
        hot_kg=float(hot_kg or 0),
        cost_cents=cost,
        packed_kg=packed[0],
        sold_kg=sold[0],
        sold_cents=round_half_up(sold[1]),
        shelf_kg=packed[0] - gone[0],
        shelf_cents=round_half_up(packed[1] - gone[1]),
    )


def together(name: str, accounts: Sequence[Account]) -> Account:
    """Many accounts as one; the cost is unknown where one of them is."""
    costs = [one.cost_cents for one in accounts]
    return Account(
        name=name,
        head=sum(one.head for one in accounts),
        kind="",
        supplier="",
        hot_kg=sum(one.hot_kg for one in accounts),
        cost_cents=None if None in costs else sum(cost for cost in costs if cost is not None),
        packed_kg=sum(one.packed_kg for one in accounts),
        sold_kg=sum(one.sold_kg for one in accounts),
        sold_cents=sum(one.sold_cents for one in accounts),
        shelf_kg=sum(one.shelf_kg for one in accounts),
        shelf_cents=sum(one.shelf_cents for one in accounts),
    )


def _by(accounts: Iterable[Account], group_of: Mapping[str, str]) -> tuple[Account, ...]:
    groups: dict[str, list[Account]] = {}
    for account in accounts:
        groups.setdefault(group_of[account.name], []).append(account)
    return tuple(together(name, of) for name, of in sorted(groups.items()))
