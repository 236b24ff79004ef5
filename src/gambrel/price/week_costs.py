"""What a planned week's products cost: each kind's animals, labour and fees, carried by what is sold of them."""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.measures import Findings
from gambrel.measures.money import round_half_up
from gambrel.plan.result import PlanResult
from gambrel.plan.week import Hanging, Week
from gambrel.price.joint_cost import JointCost, JointLine, by_net_realisable_value
from gambrel.price.week_sales import Realised, part_in_ground, realised


@dataclass(frozen=True, slots=True)
class KindCost:
    """Money of one kind over the plan, in whole cents; `hot_kg` and `head` count the sides that are cut.

    `bills_cents` are what was paid for them and the kill, `overhead_cents` the shop's charge by the head,
    `labour_cents` wages and hauling, shared out by hot weight, `surplus_cents` what the left-over meat brings
    (below 0 where it costs money to be rid of). Sides that hang on neither cost nor bring anything here.
    """

    kind: str
    hot_kg: float
    head: float
    bills_cents: int
    overhead_cents: int
    labour_cents: int
    surplus_cents: int
    joint: JointCost

    @property
    def cost_cents(self) -> int:
        return self.joint.cost_cents

    @property
    def sales_cents(self) -> int:
        return sum(cut.line.sales_cents for cut in self.joint.cuts)


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
    running = _running_cents_per_kg(week, plan) if cut else 0.0
    prices = realised(week, plan)
    return {
        kind: _kind_cost(
            week, plan, prices, kind, [pair for pair in cut if pair[0].kind.slug == kind], running
        )
        for kind in dict.fromkeys(hanging.kind.slug for hanging, _ in cut)
    }


def _cut_sides(week: Week, plan: PlanResult) -> list[tuple[Hanging, float]]:
    """Every side of the shop's own that is cut, with its hot weight."""
    return [pair for pair in _all_cut_sides(week, plan) if pair[0].is_sold]


def _all_cut_sides(week: Week, plan: PlanResult) -> list[tuple[Hanging, float]]:
    by_id = {hanging.id: hanging for hanging in week.animals}
    return [(by_id[side.animal].of_side(side.half), by_id[side.animal].side_hot_kg[side.half])
            for side in plan.sides if side.day is not None]  # fmt: skip


def _running_cents_per_kg(week: Week, plan: PlanResult) -> float:
    """Labour over all that is cut, owners' animals among it, and hauling over the shop's own, by hot weight."""
    all_kg = sum(hot_kg for _, hot_kg in _all_cut_sides(week, plan))
    own_kg = sum(hot_kg for _, hot_kg in _cut_sides(week, plan))
    return -plan.money.labour_cents / all_kg - plan.money.hauling_cents / own_kg


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
    surplus = round_half_up(sum(
        one.cents * (part_in_ground(plan, one.origin, kind) if one.origin.ground is not None
                     else one.origin.kinds == {kind})
        for one in plan.surplus
    ))  # fmt: skip
    lines = _lines(week, plan, prices, kind)
    joint = by_net_realisable_value(lines, joint_cents=bills + overhead + labour - surplus)
    return KindCost(kind, hot_kg, head, bills, overhead, labour, surplus, joint)


def _lines(week: Week, plan: PlanResult, prices: Realised, kind: str) -> list[JointLine]:
    """What is sold of one kind, trims under what their ground product is sold as."""
    kg: dict[str, float] = {}
    price: dict[str, float] = {}
    for move in plan.moves:
        if move.origin.ground is not None or move.origin.kinds != {kind}:
            continue
        for outlet in prices.outlets(move):
            if outlet.name is not None:
                kg[outlet.name] = kg.get(outlet.name, 0.0) + move.kg * outlet.share
                price[outlet.name] = outlet.price_cents_per_kg
    packing = week.shop.margin.packing_cents_per_kg
    return [JointLine(name, much, price[name], round_half_up(much * packing)) for name, much in kg.items()]
