"""The plan without what was on hand when it began: only what the animals of the week give has their costs to bear."""

from __future__ import annotations

from dataclasses import replace

from gambrel.measures.money import round_half_up
from gambrel.plan.result import Filled, Move, PlanResult, Sale

ROUNDING_KG = 1e-6
LEFT = ("surplus", "kept")
"""Where meat goes that nobody takes in the plan: its money is among the surplus."""


def of_the_animals(plan: PlanResult) -> PlanResult:
    """The plan's moves, sales, orders and surplus less the part that stock from before serves.

    Where both are sold of a product in a week, every price step is shared in the same proportion.
    """
    if all(move.origin.stock is None for move in plan.moves):
        return plan
    own = tuple(move for move in plan.moves if move.origin.stock is None)
    return replace(
        plan,
        moves=own,
        sales=tuple(part for sale in plan.sales if (part := _sale(plan, sale)).kg > ROUNDING_KG),
        filled=tuple(own_part for one in plan.filled if (own_part := _filled(plan, one)).kg > ROUNDING_KG),
        surplus=tuple(one for one in plan.surplus if one.origin.stock is None),
    )


def _sale(plan: PlanResult, sale: Sale) -> Sale:
    share = _own_share([move for move in plan.moves
                        if move.to == "counter" and (move.taker, move.week) == (sale.demand, sale.week)])  # fmt: skip
    kg = sale.kg * share
    return sale if share == 1.0 else replace(sale, kg=kg, cents=round_half_up(kg * sale.price_cents_per_kg))


def _filled(plan: PlanResult, one: Filled) -> Filled:
    share = _own_share([move for move in plan.moves if move.to == "order" and move.taker == one.order])
    return one if share == 1.0 else replace(one, kg=one.kg * share, cents=round_half_up(one.cents * share))


def _own_share(moves: list[Move]) -> float:
    """The part of these moves that the animals of the week give."""
    own_kg = sum(move.kg for move in moves if move.origin.stock is None)
    other_kg = sum(move.kg for move in moves if move.origin.stock is not None)
    return own_kg / (own_kg + other_kg) if other_kg else 1.0
