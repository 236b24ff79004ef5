"""What if: the planned week with another margin, wage, packing or ending, or with some prices settled by hand.

The plan stays as it is: the same sides are cut and the same weights are sold. A price that frightens buyers
away is not seen here; plan again with the new prices to see that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from gambrel.measures import CannotDo, Finding
from gambrel.measures.money import round_half_up
from gambrel.plan.result import PlanResult
from gambrel.plan.week import Week
from gambrel.price.week_prices import WeekPrices, price_week


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What is changed; None leaves it as it is. `by_hand` is cents/kg by the product's name."""

    margin_pct: float | None = None
    wage_cents_per_hour: float | None = None
    packing_cents_per_kg: float | None = None
    ending_cents: int | None = None
    by_hand: Mapping[str, float] = field(default_factory=dict)


def price_what_if(week: Week, plan: PlanResult, what_if: WhatIf, *, sold_by: str = "lb") -> WeekPrices:
    """The price list as it would be. Another wage changes what the plan's hours cost, not the hours.

    `CannotDo` as `price_week`, and for a wage where the plan was made without one.
    """
    margin = week.shop.margin
    changed = replace(
        margin,
        target_pct=_or(what_if.margin_pct, margin.target_pct),
        packing_cents_per_kg=_or(what_if.packing_cents_per_kg, margin.packing_cents_per_kg),
        ending_cents=margin.ending_cents if what_if.ending_cents is None else what_if.ending_cents,
    )
    wage, wage_before = what_if.wage_cents_per_hour, week.shop.wage_cents_per_hour
    if wage is not None and wage != wage_before:
        if not wage_before:
            raise CannotDo([Finding("wage", "a plan that was made without wages", "a plan that knows its hours' cost",
                                    "Give the shop a wage and plan again.")])  # fmt: skip
        wages_cents = round_half_up(plan.money.wages_cents * wage / wage_before)
        plan = replace(plan, money=replace(plan.money, wages_cents=wages_cents))
    shop = replace(week.shop, margin=changed, wage_cents_per_hour=_or(wage, wage_before))
    return price_week(replace(week, shop=shop), plan, sold_by=sold_by, by_hand=what_if.by_hand)


def _or(value: float | None, usual: float) -> float:
    return usual if value is None else value
