"""What a planned week's meat brings: the mean price of what is sold, and who takes each ground product."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.plan.market import Origin
from gambrel.plan.result import Move, PlanResult
from gambrel.plan.week import Week
from gambrel.price.week_own import LEFT

_Ground = tuple[int, str]
"""Number of a ground product, and how the trims in it were inspected."""


@dataclass(frozen=True, slots=True)
class Outlet:
    """Who takes a part of some meat: its name in the price list, None for what is left over."""

    name: str | None
    share: float
    price_cents_per_kg: float


@dataclass(frozen=True, slots=True)
class Realised:
    """Mean prices over the plan, all price steps together [cents/kg], and where ground products end up.

    A ground product may be sold as itself, as another of its name that need not be as lean, or to an order; a
    trim brings what its ground product brings.
    """

    week: Week
    counter: Mapping[int, float]
    ground: Mapping[_Ground, tuple[Outlet, ...]]

    def outlets(self, move: Move) -> tuple[Outlet, ...]:
        """Who takes the meat of `move` in the end; nobody for surplus of a cut."""
        if move.to == "ground":
            return self.ground.get((_number(move.taker), move.origin.inspected), ())
        one = _outlet(self.week, self.counter, move, 1.0)
        return () if one is None else (one,)

    def of(self, move: Move) -> float:
        """What a kilogram of `move` brings."""
        return sum(outlet.share * outlet.price_cents_per_kg for outlet in self.outlets(move))


def realised(week: Week, plan: PlanResult) -> Realised:
    """Mean price of every product sold. A product that was made but not sold has none."""
    kg: dict[int, float] = {}
    cents: dict[int, int] = {}
    for sale in plan.sales:
        kg[sale.demand] = kg.get(sale.demand, 0.0) + sale.kg
        cents[sale.demand] = cents.get(sale.demand, 0) + sale.cents
    counter = {number: cents[number] / kg[number] for number in kg}
    return Realised(week, counter, _ground_outlets(week, plan, counter))


def part_in_ground(plan: PlanResult, origin: Origin, kind: str) -> float:
    """Share of the trims of one kind in a ground product."""
    into = [move for move in plan.moves if move.to == "ground" and move.taker == origin.ground
            and move.origin.inspected == origin.inspected]  # fmt: skip
    all_kg = sum(move.kg for move in into)
    return sum(move.kg for move in into if move.origin.kinds == {kind}) / all_kg if all_kg else 0.0


def _ground_outlets(
    week: Week, plan: PlanResult, counter: Mapping[int, float]
) -> dict[_Ground, tuple[Outlet, ...]]:
    taken: dict[_Ground, list[Move]] = {}
    for move in plan.moves:
        if move.origin.ground is not None:
            taken.setdefault((move.origin.ground, move.origin.inspected), []).append(move)
    left: dict[_Ground, float] = {}
    for one in plan.surplus:
        if one.origin.ground is not None:
            key = (one.origin.ground, one.origin.inspected)
            left[key] = left.get(key, 0.0) + one.cents
    outlets: dict[_Ground, tuple[Outlet, ...]] = {}
    for key, moves in taken.items():
        all_kg = sum(move.kg for move in moves)
        found = [_outlet(week, counter, move, move.kg / all_kg) for move in moves if move.to not in LEFT]
        over_kg = sum(move.kg for move in moves if move.to in LEFT)
        if over_kg:
            found.append(Outlet(None, over_kg / all_kg, left.get(key, 0.0) / over_kg))
        outlets[key] = tuple(outlet for outlet in found if outlet is not None)
    return outlets


def _outlet(week: Week, counter: Mapping[int, float], move: Move, share: float) -> Outlet | None:
    """The counter's product or the order that takes a move."""
    if move.to == "order":
        order = week.orders[_number(move.taker)]
        return Outlet(f"order {order.id}", share, order.price_cents_per_kg)
    if move.to == "counter":
        number = _number(move.taker)
        return Outlet(week.demands[number].name, share, counter.get(number, 0.0))
    return None


def _number(taker: int | None) -> int:
    assert taker is not None, "what is sold, given or ground has a taker"
    return taker
