"""Who takes what: which demand and which order a lot of meat may serve, and on which days.

A lot is meat of one cut, from animals of one kind (or one ground product) and one kind of inspection, made on
days that may serve the very same buyers: telling those days apart would change nothing. What is on hand when the plan
starts is a lot for each of its lines.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from gambrel.catalog.cuts import shipped_cuts
from gambrel.plan.week import Demand, Hanging, Order, Shop, Stock, Week


@dataclass(frozen=True, slots=True)
class Origin:
    """Where meat comes from: the kinds in it and how it was inspected.

    `ground` numbers a ground product, `stock` a line of what is on hand when the plan starts.
    """

    name: str
    kinds: frozenset[str]
    inspected: str
    ground: int | None = None
    stock: int | None = None


@dataclass(frozen=True, slots=True)
class Buyers:
    """Who may take a lot: (demand, week) pairs, orders, and ground products it may go into on its own day."""

    counter: tuple[tuple[int, int], ...]
    orders: tuple[int, ...]
    ground: tuple[int, ...]

    def __bool__(self) -> bool:
        return bool(self.counter or self.orders or self.ground)


@dataclass(frozen=True, slots=True)
class Lot:
    """Meat of one cut and origin, made on any of `days`; `number` is its place in the list of lots."""

    number: int
    origin: Origin
    slug: str
    days: tuple[date, ...]
    buyers: Buyers


def origin_of(hanging: Hanging) -> Origin:
    return Origin(hanging.kind.slug, frozenset((hanging.kind.slug,)), hanging.inspected)


def ground_origin(week: Week, demand_number: int, inspected: str) -> Origin:
    demand = week.demands[demand_number]
    return Origin(demand.name, demand.group.kinds, inspected, demand_number)


def stock_origin(week: Week, number: int) -> Origin:
    line = week.stock[number]
    return Origin(line.group.name, line.group.kinds, line.inspected, stock=number)


def buyers_of(week: Week, origin: Origin, slug: str, day: date) -> Buyers:
    """Everyone who may take meat of `slug` made on `day`, or that line of what is on hand."""
    if origin.stock is not None:
        return _buyers_of_stock(week, origin, week.stock[origin.stock])
    counter = tuple(
        (number, one)
        for number, demand in enumerate(week.demands)
        if demand.slug == slug and origin.kinds <= demand.group.kinds and _made_for(week, origin, number)
        for one in week.shop.weeks()
        if keeps_until(week.shop, demand, day, one)
    )
    orders = tuple(
        number for number, order in enumerate(week.orders)
        if order.slug == slug and origin.kinds <= order.group.kinds and serves(order, origin.inspected, day)
    )  # fmt: skip
    ground = grinds_into(week, origin, slug)
    return Buyers(counter, orders, ground)


def _buyers_of_stock(week: Week, origin: Origin, line: Stock) -> Buyers:
    """Frozen meat goes to those who buy it frozen; fresh meat to all until its last day, frozen at the start too."""
    first_day = {one: week.shop.start + timedelta(days=7 * (one - 1)) for one in week.shop.weeks()}
    counter = tuple(
        (number, one)
        for number, demand in enumerate(week.demands)
        if demand.slug == line.slug
        and origin.kinds <= demand.group.kinds
        and (demand.frozen or not line.frozen)
        for one, day in first_day.items()
        if line.keeps_until(week.shop.start if demand.frozen and not line.frozen else day)
    )
    orders = tuple(
        number for number, order in enumerate(week.orders)
        if order.slug == line.slug and origin.kinds <= order.group.kinds and not line.frozen
        and line.keeps_until(order.by) and not (order.out_of_state and line.inspected == "state")
    )  # fmt: skip
    return Buyers(counter, orders, ())


def usable_stock(week: Week) -> tuple[int, ...]:
    """Numbers of the lines of stock that are not past their last day when the plan starts."""
    return tuple(number for number, line in enumerate(week.stock) if line.keeps_until(week.shop.start))


def is_frozen(week: Week, origin: Origin) -> bool:
    """Whether this meat lies in the freezer already when the plan starts."""
    return origin.stock is not None and week.stock[origin.stock].frozen


def kept_cents_per_kg(week: Week, lot: Lot) -> float | None:
    """What a kilogram of the lot in the freezer after the plan is worth; None where nobody buys it frozen."""
    worth = [
        week.demands[number].kept_cents_per_kg
        for number, _ in lot.buyers.counter
        if week.demands[number].frozen
    ]
    return max(worth, default=0.0 if is_frozen(week, lot.origin) else None)


def _made_for(week: Week, origin: Origin, number: int) -> bool:
    """A ground product is sold as itself, or as another of its name that need not be leaner."""
    if origin.ground is None or origin.ground == number:
        return True
    wanted, made = week.demands[number].lean_pct, week.demands[origin.ground].lean_pct
    return wanted is None or (made is not None and made >= wanted)


def keeps_until(shop: Shop, demand: Demand, day: date, week_number: int) -> bool:
    """Whether meat made on `day` may still be sold in that week of the plan."""
    monday = shop.start + timedelta(days=7 * (week_number - 1))
    return shop.week_of(day) <= week_number and monday <= day + timedelta(days=demand.shelf_days)


def serves(order: Order, inspected: str, day: date) -> bool:
    """Whether meat made on `day` is ready by the order's day and still fresh then."""
    away = order.out_of_state and inspected == "state"
    return day <= order.by <= day + timedelta(days=order.shelf_days) and not away


def grinds_into(week: Week, origin: Origin, slug: str) -> tuple[int, ...]:
    """Ground products that may hold this trim: its kind is accepted, and it has a lean point."""
    cut = shipped_cuts().get(slug)
    if origin.ground is not None or cut is None or cut.lean_pct is None:
        return ()
    return tuple(number for number, demand in enumerate(week.demands)
                 if demand.lean_pct is not None and origin.kinds <= demand.group.kinds)  # fmt: skip


def lean_of(slug: str) -> float:
    """Lean point of a trim [%]."""
    lean_pct = shipped_cuts()[slug].lean_pct
    assert lean_pct is not None, f"{slug} has no lean point"
    return lean_pct


def lots_of(week: Week, made: Iterable[tuple[Origin, str, date]]) -> list[Lot]:
    """Lots of all that may be made or is on hand, in a settled order; a ground product nobody may take is not made."""
    days: dict[tuple[Origin, str, Buyers, date | None], list[date]] = {}
    for origin, slug, day in sorted(
        set(made), key=lambda one: (one[0].name, one[0].inspected, one[1], one[2])
    ):
        buyers = buyers_of(week, origin, slug, day)
        if buyers or origin.ground is None:
            # Trim is ground on the day it is cut, so its days are told apart.
            own_day = day if buyers.ground else None
            days.setdefault((origin, slug, buyers, own_day), []).append(day)
    for number in usable_stock(week):
        origin, slug = stock_origin(week, number), week.stock[number].slug
        days[origin, slug, buyers_of(week, origin, slug, week.shop.start), None] = [week.shop.start]
    return [Lot(number, origin, slug, tuple(of), buyers)
            for number, ((origin, slug, buyers, _), of) in enumerate(days.items())]  # fmt: skip


def surplus_cents_per_kg(week: Week, lot: Lot) -> float:
    """What a kilogram brings that no step and no order takes: the best salvage price, or the cost of hauling."""
    salvage = [week.demands[number].salvage_cents_per_kg for number, _ in lot.buyers.counter]
    best = max(salvage, default=0.0)
    return best if best > 0 else -week.shop.waste_cents_per_kg
