"""The linear program of the price list: multipliers of today's prices that change least and earn enough."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from gambrel.measures import Findings
from gambrel.measures.money import show_money
from gambrel.optimize import Problem
from gambrel.optimize.problem import INF
from gambrel.price.price_line import Relation, UnitLine

_STEPS = (0.005,) * 20 + (0.02,) * 20 + (0.05,) * 10 + (0.5,) * 18
"""Widths of the pieces that stand in for the square of a change: half points to 10 %, two to 50 %, five to
100 %, fifty to ten times the price. A straight piece misses by at most a quarter of its width squared."""

_BIND = 1e-6


def least_change(
    units: Sequence[UnitLine], relations: Sequence[Relation], *, needed_cents: int
) -> list[float] | None:
    """Prices per unit that bring `needed_cents`, or None when floors, ceilings and relations cannot let them.

    Least change: the sum of squared changes, each weighed by what the cut brings today, so that the burden is
    spread over the list and not loaded on one cut. `CannotDo` when the rules clash whatever has to be earned.
    """
    problem, multipliers = _with_rules(units, relations)
    _changes_weigh(problem, units, multipliers)
    problem.rule(
        "the whole animal earns the margin",
        {
            column: unit.units * unit.today_cents / 100
            for unit, column in zip(units, multipliers, strict=True)
        },
        low=needed_cents / 100,
    )
    answer = problem.solve()
    if len(answer.values) == 0:
        _stop_if_rules_clash(units, relations)
        return None
    return [
        unit.today_cents * float(answer.values[column])
        for unit, column in zip(units, multipliers, strict=True)
    ]


def most_sales(
    units: Sequence[UnitLine], relations: Sequence[Relation]
) -> tuple[list[float], Mapping[str, float]]:
    """The prices that bring most, and for each ceiling that holds them what a unit more would bring.

    Only asked where the sales are limited, that is where `least_change` found nothing.
    """
    problem, multipliers = _with_rules(units, relations)
    for unit, column in zip(units, multipliers, strict=True):
        problem.gains[column] = unit.units * unit.today_cents
    answer = problem.solve()
    holding = {}
    for number, row in enumerate(problem.rows):
        worth = float(answer.row_prices[number])
        if row.sentence.endswith(_CEILING) and worth > _BIND:
            holding[row.sentence.removesuffix(_CEILING)] = worth
    prices = [
        unit.today_cents * float(answer.values[column])
        for unit, column in zip(units, multipliers, strict=True)
    ]
    return prices, holding


_CEILING = " sells for at most its ceiling"


def _with_rules(units: Sequence[UnitLine], relations: Sequence[Relation]) -> tuple[Problem, list[int]]:
    problem = Problem()
    columns = [problem.variable(low=1.0 / unit.today_cents) for unit in units]
    column_of = {unit.slug: (column, unit.today_cents) for unit, column in zip(units, columns, strict=True)}
    for unit, column in zip(units, columns, strict=True):
        price = {column: unit.today_cents}
        if unit.low_cents > 1.0:
            problem.rule(f"{unit.slug} sells for at least its floor", price, low=unit.low_cents, soft=True)
        if unit.high_cents is not None:
            problem.rule(unit.slug + _CEILING, price, high=unit.high_cents, soft=True)
    for relation in relations:
        (above, above_cents), (below, below_cents) = column_of[relation.above], column_of[relation.below]
        problem.rule(
            relation.sentence,
            [(above, above_cents), (below, -relation.ratio * below_cents)],
            low=0.0,
            soft=True,
        )
    return problem, columns


def _changes_weigh(problem: Problem, units: Sequence[UnitLine], columns: Sequence[int]) -> None:
    whole = sum(unit.units * unit.today_cents for unit in units)
    for unit, column in zip(units, columns, strict=True):
        weight = unit.units * unit.today_cents / whole
        terms = [(column, 1.0)]
        for sign in (-1.0, 1.0):
            reached = 0.0
            for width in (*_STEPS, None):
                slope = 2 * (reached + (width or 0.0) / 2)
                piece = problem.variable(gain=-weight * slope, high=INF if width is None else width)
                terms.append((piece, sign))
                reached += width or 0.0
        problem.rule(f"{unit.slug} changes from today's price", terms, low=1.0, high=1.0)


def _stop_if_rules_clash(units: Sequence[UnitLine], relations: Sequence[Relation]) -> None:
    problem, _ = _with_rules(units, relations)
    if len(problem.solve().values):
        return
    findings = Findings()
    breaches = problem.least_breach()
    for row, amount in breaches:
        findings.add(
            "price list",
            row.sentence,
            "floors, ceilings and relations that can all hold",
            f"Give way on this by {show_money(amount)}, or on one that it meets.",
        )
    if not breaches:
        raise ValueError("the rules of the price list clash but no rule could give way")
    findings.stop_if_any()
