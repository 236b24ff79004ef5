"""Rules about selling: nothing is sold that was not made, steps fill up, promises are kept."""

from __future__ import annotations

from gambrel.plan.model import PlanModel, Terms


def what_is_made_is_sold_ground_or_left(model: PlanModel) -> None:
    """made - sold at the counter - given to orders - ground - left over = 0, for every lot"""
    grinds: dict[int, list[int]] = {}
    for columns in model.grinds.values():
        for lot_number, column in columns.items():
            grinds.setdefault(lot_number, []).append(column)
    for lot in model.lots:
        terms = model.made(lot)
        for demand, number in lot.buyers.counter:
            terms[model.sold[lot.number, demand, number]] = -1.0
        for order in lot.buyers.orders:
            terms[model.given[lot.number, order]] = -1.0
        terms.update(dict.fromkeys(grinds.get(lot.number, []), -1.0))
        terms[model.surplus[lot.number]] = -1.0
        model.problem.rule(f"{lot.slug} of {lot.origin.name} made on {lot.days[0]}", terms, low=0.0, high=0.0)


def the_counter_pays_by_step(model: PlanModel) -> None:
    """sold of a product in a week = sum of its price steps (each step no wider than it is)"""
    sold: dict[tuple[int, int], Terms] = {}
    for (_, demand, number), column in model.sold.items():
        sold.setdefault((demand, number), {})[column] = 1.0
    for (demand, number), terms in sold.items():
        for step in range(len(model.week.demands[demand].steps)):
            terms[model.steps[demand, number, step]] = -1.0
        name = model.week.demands[demand].name
        row = model.problem.rule(f"{name} sold in week {number}", terms, low=0.0, high=0.0)
        model.marks[row] = ("counter", name)


def promised_orders_are_met(model: PlanModel) -> None:
    """given to an order = its weight when it must be met; its weight or nothing when it may be left"""
    given: dict[int, Terms] = {}
    for (_, of), column in model.given.items():
        given.setdefault(of, {})[column] = 1.0
    for number, order in enumerate(model.week.orders):
        terms, kg = given.get(number, {}), order.weight_kg
        if order.must:
            row = model.problem.rule(f"order {order.id} is met", terms, low=kg, high=kg, soft=True)
            model.marks[row] = ("order", order.id)
        else:
            terms[model.taken[number]] = -kg
            model.problem.rule(f"order {order.id} is met or left", terms, low=0.0, high=0.0)
