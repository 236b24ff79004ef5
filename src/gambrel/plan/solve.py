"""The week solved: the plan that earns the most, with its proven bound, or the promises that clash."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.measures import Finding, Findings
from gambrel.optimize import Answer, Problem
from gambrel.plan.again import begin_with
from gambrel.plan.answer import plan_of
from gambrel.plan.binding import binding_of
from gambrel.plan.bound import dearest_cents, relaxed
from gambrel.plan.check import check_plan
from gambrel.plan.clash import clashes
from gambrel.plan.look import look_at_week, with_styles
from gambrel.plan.model import PlanModel
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.search import OPTIMAL_GAP, Progress, Search
from gambrel.plan.shares import ShareSource, forecast_shares
from gambrel.plan.sides import side_groups
from gambrel.plan.week import Week

LEAST_TO_NAME_SECONDS = 10.0
"""A clash that was found when time was nearly up is given so long, or the time there was in all, to be named."""


def solve_week(
    week: Week,
    *,
    tree: Tree | None = None,
    shares: ShareSource = forecast_shares,
    gap: float = 0.005,
    seconds: float = 60.0,
    threads: int = 2,
    progress: Callable[[Progress], None] | None = None,
    stop: Callable[[], bool] | None = None,
    start: tuple[SidePlan, ...] = (),
) -> PlanResult:
    """The most profitable plan to a proven relative `gap`, or the best found in `seconds` or until `stop`.

    The search begins with the plan `start`, the sides of an earlier one, as far as its days and ways are still open.
    `progress` is called at every better plan and every better proof; `stop` is asked many times a second, and
    once it says yes the best plan so far is the answer. Raises `CannotDo` for slips that make the week
    meaningless (a pin on a closed day, an unknown cut). A week whose promises clash gives a result with status
    no-plan and the clash as findings. Every plan is checked by `check_plan`, which knows nothing of the model,
    before it is returned.
    """
    began = time.perf_counter()
    tree = (tree or shipped_tree()).trimmed(week.shop.trim)
    findings = Findings()
    week = with_styles(week, tree, findings)
    groups = side_groups(week, findings)
    notes = look_at_week(week, tree, findings)
    findings.stop_if_any()
    shares_of = {hanging.id: shares(hanging.animal, tree, hanging.id) for hanging in week.animals}
    search = Search(week, tree, groups, shares_of, gap, began, seconds, threads, progress, stop)
    begin_with(search, start)
    search.run()
    if search.impossible is not None:
        left = max(search.seconds_left, min(seconds, LEAST_TO_NAME_SECONDS))
        why = clashes(search.impossible, seconds=left, breach=search.breach)
        return PlanResult("no-plan", 0, math.inf, time.perf_counter() - began, findings=(*notes, *why))
    if search.model is None or search.values is None:
        return _too_late(notes, began, "stopped" if search.stopped else f"{seconds:g} s")
    bound = min(search.bound_cents, dearest_cents(week, groups))
    result = _plan(search.model, search.values, bound, gap)
    result = replace(result, findings=notes, seconds=time.perf_counter() - began)
    check_plan(week, tree, shares_of, result)
    return replace(result, seconds=time.perf_counter() - began)


def _too_late(notes: tuple[Finding, ...], began: float, given: str) -> PlanResult:
    late = Finding("the plan", given, "time to find any plan", "Give it more time, or plan fewer days.")
    return PlanResult("time-limit", 0, math.inf, time.perf_counter() - began, findings=(*notes, late))


def _plan(model: PlanModel, found: np.ndarray, bound: float, gap: float) -> PlanResult:
    """The solver's answer made exact: whole choices fixed, the rest solved anew, money rounded line by line."""
    exact = exactly(model.problem, found)
    sides, parts = plan_of(model, exact.values)
    # The nudge for the target day is no profit: the bound on profit is the solver's bound and all of it.
    profit_cents = parts.money.profit_cents
    bound_cents = max(math.ceil(bound + model.nudge_limit_cents), profit_cents)
    reached = (bound_cents - profit_cents) / max(1.0, abs(profit_cents))
    # Optimal to the solver's tolerance, the nudge, and half a cent of rounding on every line of money.
    lines = len(parts.sales) + len(parts.filled) + len(parts.surplus) + 2 * len(parts.days) + 1
    nothing = OPTIMAL_GAP * abs(profit_cents) + model.nudge_limit_cents + 0.5 * lines + 1.0
    optimal = bound_cents - profit_cents <= nothing
    status = "optimal" if optimal else "within-gap" if reached <= gap else "time-limit"
    return replace(parts, status=status,
                   bound_cents=bound_cents, gap=reached, sides=sides,
                   binding=binding_of(model, exact.values, exact.row_prices),
                   sizes={"columns": len(model.problem.gains), "rules": len(model.problem.rows),
                          "whole": sum(model.problem.integer)})  # fmt: skip


def exactly(problem: Problem, values: np.ndarray) -> Answer:
    """The linear program that is left with every whole-number column fixed at its value, solved."""
    lows, highs = list(problem.lows), list(problem.highs)
    for column, whole in enumerate(problem.integer):
        if whole:
            lows[column] = highs[column] = float(round(float(values[column])))
    answer = relaxed(Problem(problem.gains, lows, highs, problem.integer, problem.rows)).solve(threads=1)
    if answer.status != "optimal":
        raise RuntimeError(f"the plan does not hold with whole sides: {answer.status}")
    return answer
