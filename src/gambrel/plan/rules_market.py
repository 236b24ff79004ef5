"""Rules about selling: nothing is sold that was not made, steps fill up, promises are kept."""

from __future__ import annotations

from gambrel.plan.model import PlanModel, Terms


def what_is_made_is_sold_ground_or_left(model: PlanModel) -> None:
    """R6: made or on hand - sold at the counter - given to orders - ground - left over - kept frozen = 0, by lot"""
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
        if lot.number in model.kept:
            terms[model.kept[lot.number]] = -1.0
        here_kg = 0.0 if lot.origin.stock is None else model.week.stock[lot.origin.stock].weight_kg
        when = f"made on {lot.days[0]}" if lot.origin.stock is None else "on hand"
        sentence = f"{lot.slug} of {lot.origin.name} {when}"
        model.problem.rule(sentence, terms, low=-here_kg, high=-here_kg)


def the_freezer_holds_what_is_frozen(model: PlanModel) -> None:
    """R11: kilograms frozen by the end of a week and sold later, or kept after the plan <= what the freezer holds"""
    shop, demands = model.week.shop, model.week.demands
    if shop.freezer.holds_kg is None:
        return
    for week in shop.weeks():
        there = {lot.number for lot in model.lots if shop.week_of(lot.days[0]) <= week}
        terms = {column: 1.0 for (lot, demand, sold_in), column in model.sold.items()
                 if demands[demand].frozen and lot in there and sold_in > week}  # fmt: skip
        terms.update({column: 1.0 for lot, column in model.kept.items() if lot in there})
        if terms:
            sentence = f"kilograms in the freezer after week {week}"
            row = model.problem.rule(sentence, terms, high=shop.freezer.holds_kg)
            model.marks[row] = ("freezer", "freezer")


def the_counter_pays_by_step(model: PlanModel) -> None:
    """R8: sold of a product in a week = sum of its price steps (each step no wider than it is)"""
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
    """R9: given to an order = its weight when it must be met; its weight or nothing when it may be left"""
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
