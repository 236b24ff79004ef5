"""A plan as one JSON value, and its products gathered for people."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from gambrel.plan.result import COUNTS, PlanResult, SidePlan, Surplus
from gambrel.plan.week import Share, Week


@dataclass(frozen=True, slots=True)
class ProductLine:
    """One product of the plan: kilograms made and where they go. `leftover_kg` brings salvage, is hauled away, or
    (of a frozen product) is in the freezer after the plan."""

    slug: str
    group: str
    sold: tuple[dict[str, Any], ...]
    orders: tuple[dict[str, Any], ...]
    ground_kg: float
    leftover_kg: float
    revenue_cents: int

    @property
    def sold_kg(self) -> float:
        return float(sum(line["kg"] for line in self.sold))

    @property
    def ordered_kg(self) -> float:
        return float(sum(line["kg"] for line in self.orders))

    @property
    def made_kg(self) -> float:
        return self.sold_kg + self.ordered_kg + self.ground_kg + self.leftover_kg


def product_lines(week: Week, plan: PlanResult) -> tuple[ProductLine, ...]:
    """Everything made, by cut and by whom it is for: what earns most first."""
    keys = {(week.demands[sale.demand].slug, week.demands[sale.demand].who) for sale in plan.sales}
    keys |= {(week.orders[one.order].slug, week.orders[one.order].group.name) for one in plan.filled}
    keys |= {(one.slug, _group(week, one)) for one in plan.surplus}
    keys |= {(move.slug, move.origin.name) for move in plan.moves if move.to == "ground"}
    lines = [_line(week, plan, slug, group) for slug, group in keys]
    return tuple(sorted(lines, key=lambda line: (-line.revenue_cents, line.slug, line.group)))


def _group(week: Week, one: Surplus) -> str:
    ground = one.origin.ground
    name = one.origin.name if ground is None else week.demands[ground].group.name
    return f"{name}, frozen" if one.kept else name


def _line(week: Week, plan: PlanResult, slug: str, group: str) -> ProductLine:
    sales = [sale for sale in plan.sales
             if (week.demands[sale.demand].slug, week.demands[sale.demand].who) == (slug, group)]  # fmt: skip
    filled = [one for one in plan.filled
              if (week.orders[one.order].slug, week.orders[one.order].group.name) == (slug, group)]  # fmt: skip
    left = [one for one in plan.surplus if (one.slug, _group(week, one)) == (slug, group)]
    ground_kg = sum(
        move.kg
        for move in plan.moves
        if move.to == "ground" and (move.slug, move.origin.name) == (slug, group)
    )
    sold = tuple(
        {"week": sale.week, "step": sale.step + 1, "kg": sale.kg, "price_cents_per_kg": sale.price_cents_per_kg,
         "cents": sale.cents}
        for sale in sales
    )  # fmt: skip
    orders = tuple({"id": week.orders[one.order].id, "kg": one.kg, "cents": one.cents} for one in filled)
    cents = (
        sum(sale.cents for sale in sales) + sum(one.cents for one in filled) + sum(one.cents for one in left)
    )
    return ProductLine(slug, group, sold, orders, ground_kg, sum(one.kg for one in left), cents)


def to_json(week: Week, plan: PlanResult) -> dict[str, Any]:
    """The contract's JSON value: `profit` and `bound` in whole currency units, the same in `_cents` beside them."""
    return {
        "profit": plan.profit_cents / 100 if plan.has_plan else None,
        "bound": plan.bound_cents / 100 if plan.has_plan else None,
        "profit_cents": plan.profit_cents if plan.has_plan else None,
        "bound_cents": plan.bound_cents if plan.has_plan else None,
        "gap": plan.gap if math.isfinite(plan.gap) else None,
        "seconds": round(plan.seconds, 3),
        "status": plan.status,
        "counts": COUNTS,
        "money_cents": {name.removesuffix("_cents"): getattr(plan.money, name) for name in plan.money.__slots__},
        "sides": [_side(side) for side in plan.sides],
        "products": [_product(line) for line in product_lines(week, plan)],
        "shares": [_share(week, plan, share) for share in week.shares],
        "freezer": [{"week": number, "kg": round(kg, 3), "limit_kg": week.shop.freezer.holds_kg}
                    for number, kg in zip(week.shop.weeks(), plan.freezer, strict=bool(plan.freezer)) if plan.freezer],
        "days": [_day(day) for day in plan.days],
        "binding": [{"rule": one.rule, "unit": one.unit, "worth_cents": round(one.worth_cents, 2)}
                    for one in plan.binding],
        "binding_means": "worth of one unit with every side cut as planned; planning anew may bring more",
        "findings": [finding.as_json() for finding in plan.findings],
    }  # fmt: skip


def _side(side: Any) -> dict[str, Any]:
    return {"id": side.id, "animal": side.animal, "kind": side.kind, "day": side.day.isoformat() if side.day else None,
            "weight_kg": round(side.weight_kg, 3), "ways": dict(side.ways)}  # fmt: skip


def _share(week: Week, plan: PlanResult, share: Share) -> dict[str, Any]:
    """A share with the sides that are its, and the day they are cut (null: they hang on)."""
    halves = sides_of_share(week, plan, share)
    return {"id": share.id, "animal": share.animal, "owner": share.owner, "part_of_animal": share.sides / 2.0,
            "sides": [{"id": side.id, "day": side.day.isoformat() if side.day else None}
                      for side in halves]}  # fmt: skip


def sides_of_share(week: Week, plan: PlanResult, share: Share) -> tuple[SidePlan, ...]:
    """The sides that a share is of, as planned."""
    mine = {hanging.side_id(half) for hanging in week.animals for half, owned in hanging.owned.items()
            if share.id in owned.shares}  # fmt: skip
    return tuple(side for side in plan.sides if side.id in mine)


def _product(line: ProductLine) -> dict[str, Any]:
    return {"slug": line.slug, "for": line.group, "made_kg": line.made_kg, "sold": list(line.sold),
            "orders": list(line.orders), "ground_kg": line.ground_kg, "leftover_kg": line.leftover_kg,
            "revenue_cents": line.revenue_cents, "mean_price_cents_per_kg": _mean_price(line)}  # fmt: skip


def _mean_price(line: ProductLine) -> float | None:
    kg = line.sold_kg + line.ordered_kg
    cents = sum(one["cents"] for one in (*line.sold, *line.orders))
    return round(cents / kg, 2) if kg > 0 else None


def _day(day: Any) -> dict[str, Any]:
    return {"day": day.day.isoformat(), "cutting": day.cutting, "sides": list(day.sides),
            "minutes": {work: round(used, 2) for work, used in day.minutes.items()}, "limits_min": dict(day.limits),
            "overtime_min": {work: round(over, 2) for work, over in day.overtime.items()},
            "rail_m": day.rail_m, "rail_limit_m": day.rail_limit_m, "hauled_kg": day.hauled_kg}  # fmt: skip
