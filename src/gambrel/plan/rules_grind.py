"""Rules about ground products: at least as lean as their name says, one species and one inspection a batch.

Species and inspection are kept apart by the columns: a ground product's group holds one species, and a batch is
made from trims of one inspection. 30 % fat at most [9 CFR 319.15(a), (b)] follows from a lean of 70 % or more,
which the reader of the week sees to.
"""

from __future__ import annotations

from gambrel.plan.market import lean_of
from gambrel.plan.model import PlanModel


def ground_product_is_as_lean_as_named(model: PlanModel) -> None:
    """R7: sum of (lean of trim - lean named) x kilograms of trim >= 0, for every batch"""
    for grind, columns in model.grinds.items():
        demand = model.week.demands[grind.demand]
        assert demand.lean_pct is not None, "only ground products are ground"
        terms = {column: lean_of(model.lots[lot].slug) - demand.lean_pct for lot, column in columns.items()}
        model.problem.rule(f"{demand.name} of {grind.day} is {demand.lean_pct:g} % lean", terms, low=0.0)
