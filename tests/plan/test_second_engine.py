"""Middling weeks put, row for row, to a second engine (SCIP): both must agree on what the best plan earns.

The rows are the same, so that this is a check of the search (bound, looks, what is left out), not of the rules;
those are checked by `check_plan` and by every plan of a small week (test_small_weeks.py).
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta

import pytest
from ortools.linear_solver import pywraplp

from gambrel.catalog.ways import Tree
from gambrel.measures import Findings
from gambrel.optimize import Problem
from gambrel.plan import Step, Week, solve_week
from gambrel.plan.look import with_styles
from gambrel.plan.search import Search
from gambrel.plan.shares import book_shares
from gambrel.plan.sides import side_groups
from gambrel.plan.week import Freezer, Overtime, Room, Stock

GAP = 1e-4
NEAR_CENTS = 60
"""Money is rounded line by line: half a cent a line, some hundred lines."""


@dataclass(frozen=True)
class Compared:
    """Cents: what our search earns and proves, and what the second engine finds and proves; its columns."""

    profit: int
    bound: int
    second: float
    second_bound: float
    nudge: float
    columns: int

    @property
    def agree(self) -> bool:
        """Neither engine has found more than the other has proven that there is."""
        near = NEAR_CENTS + self.nudge
        return self.second <= self.bound + near and self.profit <= self.second_bound + near


def by_scip(problem: Problem, *, gap: float, seconds: float) -> tuple[float, float]:
    """The best gain that SCIP finds for the rows of `problem`, and the bound it proves."""
    solver = pywraplp.Solver.CreateSolver("SCIP")
    columns = [
        solver.Var(low, high, whole, f"c{number}")
        for number, (low, high, whole) in enumerate(
            zip(problem.lows, problem.highs, problem.integer, strict=True)
        )
    ]
    for row in problem.rows:
        rule = solver.Constraint(row.low, row.high)
        for column, coefficient in zip(row.columns, row.coefficients, strict=True):
            rule.SetCoefficient(columns[column], coefficient)
    goal = solver.Objective()
    goal.SetMaximization()
    for column, gain in zip(columns, problem.gains, strict=True):
        goal.SetCoefficient(column, gain)
    solver.SetTimeLimit(int(seconds * 1000))
    settings = pywraplp.MPSolverParameters()
    settings.SetDoubleParam(pywraplp.MPSolverParameters.RELATIVE_MIP_GAP, gap)
    status = solver.Solve(settings)
    if status not in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE):
        return -math.inf, math.inf if status != pywraplp.Solver.INFEASIBLE else -math.inf
    return goal.Value(), goal.BestBound()


def middling(week: Week, draw: random.Random, animals: int) -> Week:
    """Some animals of other weights and days of kill, other prices, and wider steps for so much more meat."""
    (first,) = week.animals
    herd = []
    for number in range(animals):
        side_kg = round(draw.uniform(140.0, 210.0), 1)
        killed = replace(first, killed=first.killed.replace(day=draw.randint(20, 28)))
        herd.append(replace(killed, id=f"C{number}", side_hot_kg={"left": side_kg, "right": side_kg}))
    demands = []
    for one in week.demands:
        dearer, wider = draw.uniform(0.6, 1.5), animals * draw.uniform(0.3, 1.6)
        steps = [Step(step.upto_kg * wider, step.price_cents_per_kg * dearer) for step in one.steps]
        demands.append(
            replace(one, steps=tuple(steps), salvage_cents_per_kg=one.salvage_cents_per_kg * dearer)
        )
    hours = (
        {"knife": draw.uniform(150.0, 400.0), "saw": draw.uniform(100.0, 300.0)}
        if draw.random() < 0.5
        else {}
    )
    shop = replace(week.shop, minutes_a_day=hours)
    week = replace(week, shop=shop, animals=tuple(herd), demands=tuple(demands))
    return with_more_rules(week, draw) if draw.random() < 0.5 else week


def with_more_rules(week: Week, draw: random.Random) -> Week:
    """Overtime, one block, a product sold frozen, a small freezer, meat on hand, and an animal still to arrive."""
    overtime = Overtime(dict.fromkeys(week.shop.minutes_a_day, draw.uniform(30.0, 120.0)), 3600.0)
    shop = replace(week.shop, overtime=overtime, room=Room({"knife": 1}, draw.uniform(300.0, 600.0)),
                   freezer=Freezer(draw.uniform(10.0, 60.0), 50.0))  # fmt: skip
    fresh = week.demands[0]
    frozen = replace(fresh, frozen=True, shelf_days=120, kept_cents_per_kg=500.0,
                     steps=(Step(fresh.steps[0].upto_kg / 2, fresh.steps[0].price_cents_per_kg * 0.9),))  # fmt: skip
    stock = (Stock(fresh.slug, fresh.group, draw.uniform(5.0, 20.0), shop.start + timedelta(days=3)),
             Stock(fresh.slug, fresh.group, draw.uniform(5.0, 20.0), frozen=True))  # fmt: skip
    first, *others = week.animals
    late = replace(first, arrives=shop.start + timedelta(days=draw.randint(1, 4)))
    return replace(week, shop=shop, demands=(*week.demands, frozen), stock=stock, animals=(late, *others))


def compared(week: Week, tree: Tree, *, seconds: float) -> Compared:
    """The week planned by our search, and every way and day of it at once by the second engine."""
    plan = solve_week(week, tree=tree, shares=book_shares, gap=GAP, seconds=seconds)
    trimmed = tree.trimmed(week.shop.trim)
    week = with_styles(week, trimmed, Findings())
    groups = side_groups(week, Findings())
    shares_of = {one.id: book_shares(one.animal, trimmed) for one in week.animals}
    model = Search(week, trimmed, groups, shares_of, GAP, time.perf_counter(), seconds, 2).built()
    found, bound = by_scip(model.problem, gap=GAP, seconds=seconds)
    return Compared(plan.profit_cents, int(plan.bound_cents), found, bound, model.nudge_limit_cents,
                    len(model.problem.gains))  # fmt: skip


@pytest.mark.parametrize("seed", range(6))
def test_a_middling_week_earns_what_the_second_engine_says(
    seed: int, small_tree: Tree, read: Callable[[str], Week], parts: dict[str, str]
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    both = compared(middling(week, random.Random(seed), 2), small_tree, seconds=60.0)
    assert both.agree, both
    assert both.profit == pytest.approx(both.second, rel=5 * GAP, abs=NEAR_CENTS)


def test_the_second_engine_finds_what_a_page_of_sums_finds() -> None:
    """Two sides, 3 and 4 hours each, 5 hours: one of the dearer; half a side more if it could be split."""
    problem = Problem()
    first, second = (
        problem.variable(gain=30.0, high=1.0, whole=True),
        problem.variable(gain=44.0, high=1.0, whole=True),
    )
    problem.rule("hours", {first: 3.0, second: 4.0}, high=5.0)
    found, bound = by_scip(problem, gap=0.0, seconds=10.0)
    assert found == pytest.approx(44.0)
    assert bound == pytest.approx(44.0)


def test_a_plan_that_earns_more_than_is_proven_does_not_agree() -> None:
    fair = Compared(1000, 1000, 1000.0, 1000.0, 0.0, 1)
    assert fair.agree
    assert not replace(fair, profit=1100, bound=1100).agree
    assert not replace(fair, second=1100.0, second_bound=1100.0).agree
