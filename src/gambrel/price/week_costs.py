"""What a planned week's products cost: each kind's animals, labour and fees, carried by what is sold of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.measures import Findings
from gambrel.measures.money import round_half_up
from gambrel.plan.result import Move, PlanResult
from gambrel.plan.week import Hanging, Week
from gambrel.price.joint_cost import JointCost, JointLine, by_net_realisable_value


@dataclass(frozen=True, slots=True)
class KindCost:
    """Money of one kind over the plan, in whole cents; `hot_kg` and `head` count the sides that are cut.

    `bills_cents` are what was paid for them and the kill, `overhead_cents` the shop's charge by the head,
    `labour_cents` wages, hauling and what hanging on costs, shared out by hot weight.
    """

    kind: str
    hot_kg: float
    head: float
    bills_cents: int
    overhead_cents: int
    labour_cents: int
    joint: JointCost

    @property
    def cost_cents(self) -> int:
        return self.joint.cost_cents

    @property
    def sales_cents(self) -> int:
        return sum(cut.line.sales_cents for cut in self.joint.cuts)


@dataclass(frozen=True, slots=True)
class Realised:
    """What a kilogram of each product brings over the plan, all its price steps together [cents/kg]."""

    counter: Mapping[int, float]
    orders: Mapping[int, float]

    def of(self, move: Move) -> float:
        """For the taker of `move`; 0 for what nobody takes."""
        if move.to == "order":
            return self.orders[move.taker or 0]
        if move.to in ("counter", "ground"):
            return self.counter.get(move.taker or 0, 0.0)
        return 0.0


def realised(week: Week, plan: PlanResult) -> Realised:
    """Mean price of every product sold. A product that was made but not sold has none."""
    kg: dict[int, float] = {}
    cents: dict[int, int] = {}
    for sale in plan.sales:
        kg[sale.demand] = kg.get(sale.demand, 0.0) + sale.kg
        cents[sale.demand] = cents.get(sale.demand, 0) + sale.cents
    orders = {number: order.price_cents_per_kg for number, order in enumerate(week.orders)}
    return Realised({number: cents[number] / kg[number] for number in kg}, orders)


def product_name(week: Week, move: Move) -> str:
    """How a product is called in the price list: cut and who it is for, or the order."""
    if move.to == "order":
        return f"order {week.orders[move.taker or 0].id}"
    return week.demands[move.taker or 0].name


def costs_by_kind(week: Week, plan: PlanResult) -> dict[str, KindCost]:
    """Cost of what each kind gives, by net realisable value after packing; `CannotDo` when a bill is missing.

    Only sides that the plan cuts are counted, a side at half of its animal's bill by hot weight; animals killed
    for their owners are left out.
    """
    findings = Findings()
    cut = _cut_sides(week, plan)
    for hanging in {hanging.id: hanging for hanging, _ in cut}.values():
        if hanging.bill is None:
            findings.add(
                f"animal {hanging.id}, bill",
                "nothing",
                "what was paid for it",
                'Write bill = { rail = "4.10/lb" }, or live, head or raised.',
            )
    findings.stop_if_any()
    all_kg = sum(hot_kg for _, hot_kg in cut)
    money = plan.money
    running = -(money.wages_cents + money.hauling_cents + money.hanging_on_cents)
    prices = realised(week, plan)
    return {
        kind: _kind_cost(week, plan, prices, kind, [pair for pair in cut if pair[0].kind.slug == kind],
                         running / all_kg)
        for kind in dict.fromkeys(hanging.kind.slug for hanging, _ in cut)
    }  # fmt: skip


def _cut_sides(week: Week, plan: PlanResult) -> list[tuple[Hanging, float]]:
    """Every side of the shop's own that is cut, with its hot weight."""
    by_id = {hanging.id: hanging for hanging in week.animals}
    return [(by_id[side.animal], by_id[side.animal].side_hot_kg[side.half])
            for side in plan.sides if side.day is not None and by_id[side.animal].is_sold]  # fmt: skip


def _kind_cost(
    week: Week, plan: PlanResult, prices: Realised, kind: str, cut: list[tuple[Hanging, float]],
    running_cents_per_kg: float,
) -> KindCost:  # fmt: skip
    hot_kg = sum(side_kg for _, side_kg in cut)
    parts = [(hanging, side_kg / hanging.animal.hot_kg) for hanging, side_kg in cut]
    head = sum(part for _, part in parts)
    bills = round_half_up(sum(
        part * hanging.bill.total_cents for hanging, part in parts if hanging.bill
    ))  # fmt: skip
    overhead = round_half_up(head * week.shop.margin.overhead_cents_per_head)
    labour = round_half_up(running_cents_per_kg * hot_kg)
    surplus = sum(one.cents for one in plan.surplus if one.origin.kinds == {kind} and one.cents > 0)
    lines = _lines(week, plan, prices, kind)
    joint = by_net_realisable_value(lines, joint_cents=bills + overhead + labour - surplus)
    return KindCost(kind, hot_kg, head, bills, overhead, labour, joint)


def _lines(week: Week, plan: PlanResult, prices: Realised, kind: str) -> list[JointLine]:
    """What is sold of one kind, trims under the ground product they go into."""
    kg: dict[str, float] = {}
    price: dict[str, float] = {}
    for move in plan.moves:
        if move.to == "surplus" or move.origin.ground is not None or move.origin.kinds != {kind}:
            continue
        name = product_name(week, move)
        kg[name] = kg.get(name, 0.0) + move.kg
        price[name] = prices.of(move)
    packing = week.shop.margin.packing_cents_per_kg
    return [JointLine(name, much, price[name], round_half_up(much * packing)) for name, much in kg.items()]
