"""A bound on the profit, and what every way falls short of it: how a large tree is made small without guessing.

The week is first solved with everything allowed to be split: sides over days, pieces over ways. That is a linear
program and its gain is an upper bound. Its reduced costs say, for each way on each day, by how much any whole
plan that takes the way must stay below the bound [reduced-cost fixing: Nemhauser and Wolsey, Integer and
Combinatorial Optimization, Wiley, 1988, section on preprocessing; cited from memory]. The losses of a side's ways
add up, so that ways, and ways below ways, that would cost more than is still open can be left out, and what is
left out is known to lie below the bound less the limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from gambrel.optimize import Answer, Problem
from gambrel.plan.market import origin_of
from gambrel.plan.model import PlanModel
from gambrel.plan.places import Losses, Options
from gambrel.plan.sides import SideGroup
from gambrel.plan.week import Week


@dataclass(frozen=True, slots=True)
class Bound:
    """The split week: its gain, and for each group what the ways cost against it (without a limit yet)."""

    gain_cents: float
    losses: tuple[Losses, ...]


def relaxed(problem: Problem) -> Problem:
    """The same problem with no column whole."""
    return Problem(problem.gains, problem.lows, problem.highs, [False] * len(problem.integer), problem.rows)


def reduced_costs(problem: Problem, answer: Answer) -> np.ndarray:
    """What one more unit of each column would gain at the prices of a linear program's answer."""
    costs = np.asarray(problem.gains, dtype=np.float64).copy()
    for row, price in zip(problem.rows, answer.row_prices, strict=True):
        if price and row.columns:
            costs[list(row.columns)] -= price * np.asarray(row.coefficients)
    return costs


def bound_of(model: PlanModel, answer: Answer) -> Bound:
    """Bound and losses out of the split week's `answer`; `model` must have been built with every piece pooled."""
    costs = reduced_costs(model.problem, answer)
    return Bound(answer.objective, tuple(_losses(model, group, costs) for group in model.groups))


def _losses(model: PlanModel, group: SideGroup, costs: np.ndarray) -> Losses:
    options = model.options[group.number]
    by_way = {}
    for number, choice in enumerate(options.choices):
        piece = options.places[choice.place].piece
        way = choice.ways.get(piece)
        if way is not None:
            by_way[piece, way] = _over_days(model.chosen, group, number, costs)
    at_start = tuple(max(0.0, -float(costs[model.cut[group.number, day]])) for day in group.days)
    return Losses(by_way, at_start, least_shares(options), float("inf"))


def _over_days(
    chosen: Mapping[tuple[int, date, int], int], group: SideGroup, number: int, costs: np.ndarray
) -> tuple[float, ...]:
    return tuple(max(0.0, -float(costs[chosen[group.number, day, number]])) for day in group.days)


def least_shares(options: Options) -> dict[str, float]:
    """The least share of a side in which each piece comes about, where it comes about at all."""
    least: dict[int, float] = {}
    for number, place in enumerate(options.places):
        ways_in = (share * least[options.choices[choice].place] for choice, share in place.above.items())
        least[number] = min(ways_in, default=1.0)
    return {place.piece: least[number] for number, place in enumerate(options.places)}


def dearest_cents(week: Week, groups: tuple[SideGroup, ...]) -> float:
    """More than any plan can earn: every kilogram at the dearest price that anyone pays for its kind.

    Loose by far; it stands where the split week could not be solved in time.
    """
    total = 0.0
    for group in groups:
        total += group.count * (group.hanging.share.cents if group.hanging.share else 0)
        if not group.hanging.is_sold:
            continue
        kinds = origin_of(group.hanging).kinds
        prices = [one.steps[0].price_cents_per_kg for one in week.demands if kinds <= one.group.kinds]
        prices += [one.kept_cents_per_kg for one in week.demands if kinds <= one.group.kinds]
        prices += [one.price_cents_per_kg for one in week.orders if kinds <= one.group.kinds]
        heaviest_kg = max([*group.weight_kg.values(), group.end_kg])
        total += group.count * heaviest_kg * max([*prices, week.shop.hanging_on_cents_per_kg])
    steps = [one.steps[0].price_cents_per_kg for one in week.demands]
    kept = [one.kept_cents_per_kg for one in week.demands]
    dearest = max([0.0, *steps, *kept, *(one.price_cents_per_kg for one in week.orders)])
    total += dearest * sum(line.weight_kg for line in week.stock)
    return total
