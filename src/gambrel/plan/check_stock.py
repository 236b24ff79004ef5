"""The check of what was on hand and of the freezer: every line is used up once, by those who may have it.

Like `check.py` it knows nothing of the model.
"""

from __future__ import annotations

from datetime import timedelta

from gambrel.measures.money import round_half_up
from gambrel.plan.broken import KG, must
from gambrel.plan.result import Move, PlanResult, Surplus
from gambrel.plan.week import Demand, Stock, Week


def check_stock(week: Week, plan: PlanResult) -> None:
    """Raise `BadPlan` where stock is sold twice, too late or to the wrong buyer, or the freezer holds too much."""
    for number, line in enumerate(week.stock):
        moves = [move for move in plan.moves if move.origin.stock == number]
        in_date = line.use_by is None or line.use_by >= week.shop.start
        kg = sum(move.kg for move in moves)
        must(abs(kg - (line.weight_kg if in_date else 0.0)) < KG, f"{line.name}: {kg:.3f} kg of it are used")
        for move in moves:
            must(
                move.slug == line.slug and move.origin.kinds == line.group.kinds, f"{line.name} is what it is"
            )
            must(move.origin.inspected == line.inspected, f"{line.name} keeps its inspection")
            _may_go(week, line, move)
    _freezer(week, plan)
    for one in plan.surplus:
        _surplus_price(week, one)


def _may_go(week: Week, line: Stock, move: Move) -> None:
    must(move.to != "ground", f"{line.name} is not ground")
    if move.to == "order":
        order = week.orders[move.taker or 0]
        away = order.out_of_state and line.inspected == "state"
        must(
            move.slug == order.slug and line.group.kinds <= order.group.kinds,
            f"order {order.id} gets its cut",
        )
        must(not line.frozen and not away, f"order {order.id} gets fresh meat that may go there")
        must(line.use_by is None or order.by <= line.use_by, f"order {order.id} is still fresh")
    elif move.to == "counter":
        demand = week.demands[move.taker or 0]
        first = week.shop.start + timedelta(days=7 * ((move.week or 1) - 1))
        must(
            move.slug == demand.slug and line.group.kinds <= demand.group.kinds,
            f"{demand.name} is what it says",
        )
        must(demand.frozen or not line.frozen, f"{demand.name} is fresh")
        must(
            demand.frozen or line.use_by is None or first <= line.use_by, f"{demand.name} is sold in its days"
        )


def _freezer(week: Week, plan: PlanResult) -> None:
    """What lies in the freezer, week by week, and what freezing costs."""
    there = [0.0] * len(week.shop.weeks())
    frozen_kg = 0.0
    for move in plan.moves:
        demand = week.demands[move.taker or 0] if move.to == "counter" else None
        if not (move.to == "kept" or (demand is not None and demand.frozen)):
            continue
        of = move.origin.stock
        frozen_kg += 0.0 if of is not None and week.stock[of].frozen else move.kg
        first = 0 if of is not None else (move.days[0] - week.shop.start).days // 7
        out = len(there) if move.week is None else move.week - 1
        for number in range(first, out):
            there[number] += move.kg
    holds_kg = week.shop.freezer.holds_kg
    for number, kg in enumerate(there):
        must(holds_kg is None or kg <= holds_kg + KG, f"{kg:.3f} kg in the freezer after week {number + 1}")
        must(abs(kg - plan.freezer[number]) < KG, f"the freezer after week {number + 1} is counted right")
    cents = round_half_up(-frozen_kg * week.shop.freezer.cost_cents_per_kg)
    must(plan.money.freezing_cents == cents, "freezing is weight by its cost")


def _surplus_price(week: Week, one: Surplus) -> None:
    """Left over: at the best salvage of those who buy it, or hauled away; in the freezer: what it is worth there."""
    takers = [demand for demand in week.demands if demand.slug == one.slug and _of_kind(demand, one)]
    if one.kept:
        in_freezer = one.origin.stock is not None and week.stock[one.origin.stock].frozen
        worth = [demand.kept_cents_per_kg for demand in takers if demand.frozen]
        must(bool(worth) or in_freezer, f"{one.slug} in the freezer is bought frozen")
        must(one.price_cents_per_kg in (worth or [0.0]), f"{one.slug} in the freezer is worth what is said")
        return
    prices = {demand.salvage_cents_per_kg for demand in takers if demand.salvage_cents_per_kg > 0}
    allowed = {*prices, -week.shop.waste_cents_per_kg}
    must(
        one.price_cents_per_kg in allowed, f"{one.slug} left over is sold at a salvage price, or hauled away"
    )


def _of_kind(demand: Demand, one: Surplus) -> bool:
    return one.origin.kinds <= demand.group.kinds
