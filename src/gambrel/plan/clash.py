"""Why there is no plan: which promises clash and by how much, in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from gambrel.measures import Finding, Findings
from gambrel.optimize import Row
from gambrel.plan.market import Origin, buyers_of, origin_of, serves, stock_origin, usable_stock
from gambrel.plan.model import PlanModel
from gambrel.plan.places import Options
from gambrel.plan.sides import SideGroup
from gambrel.plan.week import Order, Week


def clashes(
    model: PlanModel, *, seconds: float, breach: list[tuple[Row, float]] | None = None
) -> tuple[Finding, ...]:
    """The smallest set of promises that would have to give way, each as a finding with its amounts.

    `model` may allow splitting, which is quicker and shows most clashes. `breach` are the rules of it that give way
    and by how much, where that is known already.
    """
    found = Findings()
    for order in impossible_orders(model):
        found.extend([_too_much(model, order)])
    try:
        breaches = model.problem.least_breach(seconds=seconds) if breach is None else breach
    except TimeoutError:
        breaches = []
        found.add("the plan", "promises that clash", "a plan that keeps them all",
                  "Which give way least was not settled in time; ease an order, the hours or the rail.")  # fmt: skip
    for row, amount in breaches:
        kind, name = model.marks[model.problem.rows.index(row)]
        if kind == "order":
            order = next(one for one in model.week.orders if one.id == name)
            if order not in impossible_orders(model):
                found.extend([_crowded_out(order, amount)])
        elif kind == "hours":
            wanted = f"{(row.high + amount) / 60:.1f} h, {amount / 60:.1f} h more"
            found.add(row.sentence, f"{row.high / 60:.1f} h", wanted,
                      "Add hours, cut on another day, or give way on an order.")  # fmt: skip
        elif kind == "places":
            wanted = f"{(row.high + amount) / 60:.1f} h of work at them, {amount / 60:.1f} h more"
            found.add(row.sentence, f"{row.high / 60:.1f} h while the room is open", wanted,
                      "Open longer, add a place to work at, or cut on another day.")  # fmt: skip
        elif kind == "rail":
            found.add(row.sentence, f"{(model.week.shop.rail_mm or 0) / 1000:.1f} m", f"{amount:.1f} m more",
                      "Move sides out, cut earlier, or take in fewer.")  # fmt: skip
        else:
            found.add(f"side {name}", f"{amount:.0f} of its sides not cut", row.sentence,
                      "Add a cutting day inside its window, or lengthen its hang_days.")  # fmt: skip
    return tuple(found)


def impossible_orders(model: PlanModel) -> list[Order]:
    """Orders that must be met and could not be even if nothing else were wanted."""
    return [
        order
        for order in model.week.orders
        if order.must and most_for(model, order)[0] < order.weight_kg - 1e-6
    ]


def most_for(model: PlanModel, order: Order) -> tuple[float, int]:
    """The most kilograms of its cut that all sides could give the order, and how many sides those are.

    A ground product is bounded by all the trim of its kinds, which is generous.
    """
    ground = [demand for demand in model.week.demands if demand.is_ground and demand.slug == order.slug]
    total_kg, sides = 0.0, 0
    for group in model.groups:
        origin = origin_of(group.hanging)
        kinds = (
            order.group.kinds
            if not ground
            else order.group.kinds & frozenset().union(*(one.group.kinds for one in ground))
        )
        days = [day for day in group.days if serves(order, origin.inspected, day)]
        if not group.hanging.is_sold or not origin.kinds <= kinds or not days:
            continue
        sides += group.count
        best_kg = max(group.weight_kg[day] for day in days)
        options = model.options[group.number]
        total_kg += (
            group.count * best_kg * _most_share(options, 0, order.slug, options.below(), trims=bool(ground))
        )
    for number in usable_stock(model.week):
        if model.week.orders.index(order) in buyers_of(model.week, *_stock_lot(model.week, number)).orders:
            total_kg += model.week.stock[number].weight_kg
    return total_kg, sides


def _stock_lot(week: Week, number: int) -> tuple[Origin, str, date]:
    return stock_origin(week, number), week.stock[number].slug, week.shop.start


def _most_share(
    options: Options, place: int, slug: str, below: Mapping[int, list[tuple[int, float]]], *, trims: bool
) -> float:
    """Largest share of the side that can become `slug` (or any trim) at and below a place."""
    best = 0.0
    for number in options.places[place].choices:
        leaves = options.choices[number].leaves
        here = sum(
            share for leaf, share in leaves.items() if leaf == slug or (trims and leaf.startswith("trim-"))
        )
        here += sum(share * _most_share(options, child, slug, below, trims=trims)
                    for child, share in below.get(number, ()))  # fmt: skip
        best = max(best, here)
    return best


def _too_much(model: PlanModel, order: Order) -> Finding:
    most_kg, sides = most_for(model, order)
    from_sides = (
        f"the {sides} sides that may serve it give"
        if sides > 1
        else "the one side that may serve it gives"
        if sides
        else ""
    )
    have = f"{from_sides} {most_kg:.1f} kg at most" if sides else "no side on hand may serve it"
    if most_kg and not sides:
        have = f"what is on hand gives {most_kg:.1f} kg, and no side may serve it"
    return Finding(
        where=f"order {order.id}",
        given=have,
        wanted=f"{order.weight_kg:.1f} kg of {order.slug} ({order.group.name}) by {order.by}",
        do=_advice(model, order, sides),
    )


def _advice(model: PlanModel, order: Order, sides: int) -> str:
    if sides:
        return "Agree on less, or on a later day, or bring in another animal."
    ready = [group for group in model.groups if origin_of(group.hanging).kinds <= order.group.kinds]
    if not ready:
        return "No animal of that kind hangs here: bring one in, or give the order back."
    return f"None is ready and fresh by then ({_windows(ready)}): agree on another day."


def _windows(groups: list[SideGroup]) -> str:
    def window(group: SideGroup) -> str:
        return f"{group.days[0]} to {group.days[-1]}" if group.days else "no cutting day"

    return "; ".join(f"{group.name} {window(group)}" for group in groups[:4])


def _crowded_out(order: Order, short_kg: float) -> Finding:
    return Finding(
        where=f"order {order.id}",
        given=f"{order.weight_kg - short_kg:.1f} kg at most while the other promises are kept",
        wanted=f"{order.weight_kg:.1f} kg of {order.slug} ({order.group.name}) by {order.by}",
        do="Agree on less or another day, or give way on another promise.",
    )
