"""What holds the plan back: the worth of easing each rule by one unit.

The figures are the prices of the linear program that is left when every side is cut on its day and in its ways:
what an hour, a metre or a kilogram more would bring with the cutting as planned. Planning anew may bring more.
"""

from __future__ import annotations

import numpy as np

from gambrel.measures.money import show_money
from gambrel.plan.model import PlanModel
from gambrel.plan.result import Binding

LEAST_CENTS = 0.5
MOST_PRODUCTS = 12


def binding_of(model: PlanModel, values: np.ndarray, row_prices: np.ndarray) -> tuple[Binding, ...]:
    """Binding rules, dearest first; of the counter's products only the dozen that are worth most."""
    found: list[Binding] = []
    for row, (kind, _) in model.marks.items():
        price, sentence = float(row_prices[row]), model.problem.rows[row].sentence
        if kind == "hours" and price * 60.0 > LEAST_CENTS:
            found.append(Binding(sentence, "one hour more", price * 60.0))
        elif kind == "places" and price * 60.0 > LEAST_CENTS:
            found.append(Binding(sentence, "one hour more of work at them", price * 60.0))
        elif kind == "rail" and price > LEAST_CENTS:
            found.append(Binding(sentence, "one metre more", price))
        elif kind == "freezer" and price > LEAST_CENTS:
            found.append(Binding(sentence, "one kg more of room", price))
        elif kind == "order" and -price > LEAST_CENTS:
            found.append(Binding(sentence, "one kg less promised", -price))
    counter = sorted(_counter(model, values, row_prices), key=lambda one: -one.worth_cents)[:MOST_PRODUCTS]
    return tuple(sorted([*found, *counter], key=lambda one: -one.worth_cents))


def _counter(model: PlanModel, values: np.ndarray, row_prices: np.ndarray) -> list[Binding]:
    """For each product and week the last step that is sold out, and what one kilogram more of it would bring."""
    row_of = {
        model.problem.rows[row].sentence: row for row, (kind, _) in model.marks.items() if kind == "counter"
    }
    last: dict[tuple[int, int], Binding] = {}
    for (demand, number, step), column in sorted(model.steps.items()):
        product = model.week.demands[demand]
        price = product.steps[step].price_cents_per_kg
        row = row_of[f"{product.name} sold in week {number}"]
        worth = price + float(row_prices[row])
        full = float(values[column]) >= model.problem.highs[column] - 1e-6
        if full and worth > LEAST_CENTS:
            rule = f"{product.name} at {show_money(price)} a kg in week {number} is sold out"
            last[demand, number] = Binding(rule, "one kg more wanted", worth)
    return list(last.values())
