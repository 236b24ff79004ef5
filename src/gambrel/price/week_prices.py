"""The price list of a planned week: the margin on everything that is cut, with the least change of prices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from gambrel.plan.result import PlanResult
from gambrel.plan.week import Week
from gambrel.price.price_line import PriceLine
from gambrel.price.price_list import PriceList, build_price_list
from gambrel.price.week_costs import KindCost, costs_by_kind
from gambrel.price.week_own import of_the_animals


@dataclass(frozen=True, slots=True)
class ProductPrice:
    """One product of the counter: weight the plan sells, price today and new, and what it costs.

    `frozen`: what is sold of it out of the freezer, which is a product of its own.
    """

    slug: str
    group: str
    kg: float
    today_cents_per_kg: float
    new_cents_per_kg: float
    cost_cents_per_kg: float
    frozen: bool = False


@dataclass(frozen=True, slots=True)
class WeekPrices:
    """Costs by kind and the list. `price_list.findings` say where the margin cannot be reached."""

    kinds: Mapping[str, KindCost]
    products: tuple[ProductPrice, ...]
    price_list: PriceList

    @property
    def cost_cents(self) -> int:
        return sum(kind.cost_cents for kind in self.kinds.values())


def price_week(
    week: Week, plan: PlanResult, *, sold_by: str = "lb", by_hand: Mapping[str, float] | None = None
) -> WeekPrices:
    """Prices that earn the shop's target margin on all that is cut, if the same weights sell.

    Orders keep the price they were promised at. `by_hand` settles the price of some products [cents/kg, a whole
    cent by the unit sold by]; the others then carry what is left. `CannotDo` when an animal that is cut has no
    bill. What was on hand before the plan has no part in it.
    """
    plan = of_the_animals(plan)
    kinds = costs_by_kind(week, plan)
    cost: dict[str, int] = {}
    made_kg: dict[str, float] = {}
    for kind in kinds.values():
        for cut in kind.joint.cuts:
            cost[cut.line.slug] = cost.get(cut.line.slug, 0) + cut.cost_cents
            made_kg[cut.line.slug] = made_kg.get(cut.line.slug, 0.0) + cut.line.kg
    margin = week.shop.margin
    price_list = build_price_list(
        [_settled(line, by_hand or {}) for line in _counter_lines(week, plan, margin.ending_cents)],
        cost_cents=sum(kind.cost_cents for kind in kinds.values()),
        target_share=margin.target_pct / 100.0,
        sold_by=sold_by,
        promised_cents=sum(filled.cents for filled in plan.filled),
    )
    new = {line.slug: line.new_cents_per_kg for line in price_list.lines}
    sold_kg: dict[int, float] = {}
    for sale in plan.sales:
        sold_kg[sale.demand] = sold_kg.get(sale.demand, 0.0) + sale.kg
    products = [
        ProductPrice(demand.slug, demand.group.name, sold_kg[number], demand.steps[0].price_cents_per_kg,
                     new[demand.name], cost[demand.name] / made_kg[demand.name], demand.frozen)
        for number, demand in enumerate(week.demands)
        if number in sold_kg and demand.name in made_kg and demand.name in new
    ]  # fmt: skip
    return WeekPrices(kinds, tuple(products), price_list)


def _settled(line: PriceLine, by_hand: Mapping[str, float]) -> PriceLine:
    """A price that a person settled may end as it likes and does not move."""
    price = by_hand.get(line.slug)
    if price is None:
        return line
    return replace(line, floor_cents_per_kg=price, ceiling_cents_per_kg=price, endings=())


def _counter_lines(week: Week, plan: PlanResult, ending_cents: int) -> list[PriceLine]:
    """A line a product at its first price. What sells at a lower step counts as so much less at the first, so
    that the steps move with the list and the sales stay right.
    """
    first_price_kg: dict[int, float] = {}
    for sale in plan.sales:
        first = week.demands[sale.demand].steps[0].price_cents_per_kg
        if first <= 0:
            continue  # given away: there is no price to change
        first_price_kg[sale.demand] = (
            first_price_kg.get(sale.demand, 0.0) + sale.kg * sale.price_cents_per_kg / first
        )
    return [
        PriceLine(week.demands[number].name, kg, week.demands[number].steps[0].price_cents_per_kg,
                  endings=(ending_cents,))
        for number, kg in sorted(first_price_kg.items())
    ]  # fmt: skip
