"""What the shop does with what really came off: orders first, then the counter step by step, the rest to salvage.

The plan is followed as far as there is meat. What is over goes to the next price step that beats salvage, what is
short is not sold. Everything is worked for all draws at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from gambrel.plan.market import (
    Lot,
    Origin,
    buyers_of,
    ground_origin,
    is_frozen,
    kept_cents_per_kg,
    lean_of,
    stock_origin,
    surplus_cents_per_kg,
    usable_stock,
)
from gambrel.plan.questions.draws import Floats, Made
from gambrel.plan.result import Move, PlanResult
from gambrel.plan.week import Week

Key = tuple[Origin, str, tuple[date, ...]]
"""A lot: origin, cut, and the days that serve the same buyers."""


@dataclass
class Selling:
    """The stock of every lot while it is being sold, and what is sold, filled, ground and earned so far."""

    week: Week
    plan: PlanResult
    stock: dict[Key, Floats]
    draws: int
    sold_kg: dict[tuple[int, int], Floats]
    filled_kg: dict[int, Floats]
    ground_on_kg: dict[date, Floats]
    kept_kg: dict[Key, Floats]
    frozen_kg: Floats

    @property
    def ground_kg(self) -> Floats:
        """All that is ground, over the days."""
        return sum(self.ground_on_kg.values(), np.zeros(self.draws))

    def take(self, key: Key, wanted_kg: Floats) -> Floats:
        """As much of a lot as there is of what is wanted; it leaves the stock."""
        got = np.minimum(self.stock[key], np.maximum(0.0, wanted_kg))
        self.stock[key] = self.stock[key] - got
        return got


def sell(week: Week, plan: PlanResult, made: Made) -> Selling:
    """Everything made sold as well as the plan and what is over allow; `stock` is then what is left over."""
    selling = Selling(week, plan, _stock(week, plan, made), made.draws, {}, {}, {}, {}, np.zeros(made.draws))
    in_order = sorted({one.order for one in plan.filled}, key=lambda number: (
        not week.orders[number].must, week.orders[number].by, number))  # fmt: skip
    for number in in_order:
        _fill(selling, number)
    trims = dict(selling.stock)
    batches = {(m.taker, m.ground_on, m.origin.inspected) for m in plan.moves if m.to == "ground"}
    for batch in sorted(batches, key=str):
        _grind(selling, trims, *batch)
    for number in in_order:
        _fill(selling, number)  # what is ordered ground is there now
    _counter_as_planned(selling)
    _keep(selling)
    _counter_with_the_rest(selling)
    return selling


def _stock(week: Week, plan: PlanResult, made: Made) -> dict[Key, Floats]:
    """The meat of every draw by the plan's lots; a cut that the plan sends nowhere is a lot of its own.

    What is on hand is weighed already: it is the same in every draw.
    """
    lot_of: dict[tuple[Origin, str, date], tuple[date, ...]] = {}
    for move in plan.moves:
        for day in move.days:
            lot_of[move.origin, move.slug, day] = move.days
    stock: dict[Key, Floats] = {}
    for (origin, slug, day), kg in made.meat_kg.items():
        key = (origin, slug, lot_of.get((origin, slug, day), (day,)))
        stock[key] = stock.get(key, np.zeros(made.draws)) + kg
    for number in usable_stock(week):
        line = week.stock[number]
        on_hand: Key = (stock_origin(week, number), line.slug, (week.shop.start,))
        stock[on_hand] = np.full(made.draws, line.weight_kg)
    return stock


def _planned(plan: PlanResult, to: str) -> Iterable[Move]:
    return sorted((move for move in plan.moves if move.to == to), key=lambda move: -move.kg)


def _fill(selling: Selling, number: int) -> None:
    """Fill an order from the lots that the plan gives it, then from any other that may serve it."""
    order = selling.week.orders[number]
    got = selling.filled_kg.get(number, np.zeros(selling.draws))
    meant = [(m.origin, m.slug, m.days) for m in _planned(selling.plan, "order") if m.taker == number]
    others = [key for key in selling.stock if key[1] == order.slug and key not in meant
              and number in buyers_of(selling.week, *key[:2], key[2][0]).orders]  # fmt: skip
    for key in [one for one in meant if one in selling.stock] + others:
        got = got + selling.take(key, order.weight_kg - got)
    selling.filled_kg[number] = got


def _grind(
    selling: Selling, trims: Mapping[Key, Floats], taker: int | None, day: date | None, inspected: str
) -> None:
    """Grind the planned part of each trim; where that is too fat for the name, less of the fat trims goes in."""
    assert taker is not None and day is not None
    moves = [m for m in selling.plan.moves
             if m.to == "ground" and (m.taker, m.ground_on, m.origin.inspected) == (taker, day, inspected)]  # fmt: skip
    lean_pct = selling.week.demands[taker].lean_pct or 0.0
    parts: dict[Key, Floats] = {}
    for move in moves:
        key = (move.origin, move.slug, move.days)
        # What is ordered as it is has been handed over already: the grinder's part is of what is left.
        whole = sum(m.kg for m in selling.plan.moves
                    if m.to != "order" and (m.origin, m.slug, m.days) == key)  # fmt: skip
        if key in trims:
            parts[key] = selling.take(key, trims[key] * move.kg / whole)
    spare = needed = np.zeros(selling.draws)
    for key, kg in parts.items():
        over_pct = lean_of(key[1]) - lean_pct
        spare, needed = spare + max(0.0, over_pct) * kg, needed + max(0.0, -over_pct) * kg
    fits = np.minimum(1.0, np.divide(spare, needed, out=np.ones(selling.draws), where=needed > 0.0))
    total = np.zeros(selling.draws)
    for key, kg in parts.items():
        used = kg * fits if lean_of(key[1]) < lean_pct else kg
        selling.stock[key] = selling.stock[key] + (kg - used)
        total = total + used
    slug = selling.week.demands[taker].slug
    origin = ground_origin(selling.week, taker, inspected)
    ground: Key = (origin, slug, _ground_days(selling.plan, origin, slug, day))
    selling.stock[ground] = selling.stock.get(ground, np.zeros(selling.draws)) + total
    selling.ground_on_kg[day] = selling.ground_on_kg.get(day, np.zeros(selling.draws)) + total


def _ground_days(plan: PlanResult, origin: Origin, slug: str, day: date) -> tuple[date, ...]:
    return next(
        (m.days for m in plan.moves if m.origin == origin and m.slug == slug and day in m.days), (day,)
    )


def _counter_as_planned(selling: Selling) -> None:
    for move in _planned(selling.plan, "counter"):
        assert move.taker is not None and move.week is not None
        key, cell = (move.origin, move.slug, move.days), (move.taker, move.week)
        if key in selling.stock:
            got = selling.take(key, np.full(selling.draws, move.kg))
            _freeze(selling, key, got, frozen=selling.week.demands[move.taker].frozen)
            selling.sold_kg[cell] = selling.sold_kg.get(cell, np.zeros(selling.draws)) + got


def _freeze(selling: Selling, key: Key, kg: Floats, *, frozen: bool) -> None:
    """Count what goes into the freezer and was not there before."""
    if frozen and not is_frozen(selling.week, key[0]):
        selling.frozen_kg = selling.frozen_kg + kg


def _keep(selling: Selling) -> None:
    """What the plan keeps in the freezer beyond its end."""
    for move in _planned(selling.plan, "kept"):
        key = (move.origin, move.slug, move.days)
        if key in selling.stock:
            selling.kept_kg[key] = selling.take(key, np.full(selling.draws, move.kg))
            _freeze(selling, key, selling.kept_kg[key], frozen=True)


def _counter_with_the_rest(selling: Selling) -> None:
    """What is over goes to the dearest step with room, oldest first, as long as that beats salvage.

    Nothing more is frozen than was planned.
    """
    week = selling.week
    keys = sorted(selling.stock, key=lambda key: (key[2][0], key[0].name, key[1]))
    lots = {key: Lot(0, *key, buyers_of(week, *key[:2], key[2][0])) for key in keys}
    cells = sorted(((step.price_cents_per_kg, demand, number, step.upto_kg * week.shop.week_share(number))
                    for demand, one in enumerate(week.demands) if not one.frozen
                    for number in week.shop.weeks() for step in one.steps),
                   key=lambda cell: (-cell[0], cell[2], cell[1]))  # fmt: skip
    for price, demand, number, upto_kg in cells:
        for key in keys:
            lot = lots[key]
            if (demand, number) in lot.buyers.counter and price > surplus_cents_per_kg(week, lot):
                sold = selling.sold_kg.get((demand, number), np.zeros(selling.draws))
                selling.sold_kg[demand, number] = sold + selling.take(key, upto_kg - sold)


def money_of_selling(selling: Selling) -> Mapping[str, Floats]:
    """Counter, orders, salvage and the freezer in cents, draw by draw."""
    week = selling.week
    nothing = np.zeros(selling.draws)
    counter = sum(
        (_by_step(week, demand, number, kg) for (demand, number), kg in selling.sold_kg.items()), nothing
    )
    orders = sum(
        (kg * week.orders[number].price_cents_per_kg for number, kg in selling.filled_kg.items()), nothing
    )
    left = sum((kg * surplus_cents_per_kg(week, Lot(0, *key, buyers_of(week, *key[:2], key[2][0])))
                for key, kg in selling.stock.items()), nothing)  # fmt: skip
    kept = sum((kg * (kept_cents_per_kg(week, Lot(0, *key, buyers_of(week, *key[:2], key[2][0]))) or 0.0)
                for key, kg in selling.kept_kg.items()), nothing)  # fmt: skip
    freezer = kept - selling.frozen_kg * week.shop.freezer.cost_cents_per_kg
    return {"counter": counter, "orders": orders, "surplus": left, "freezer": freezer}


def _by_step(week: Week, demand: int, number: int, kg: Floats) -> Floats:
    cents, below_kg = np.zeros_like(kg), 0.0
    for step in week.demands[demand].steps:
        upto_kg = step.upto_kg * week.shop.week_share(number)
        cents = cents + np.clip(kg - below_kg, 0.0, upto_kg - below_kg) * step.price_cents_per_kg
        below_kg = upto_kg
    return cents
