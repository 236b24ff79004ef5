"""The week solved: the plan that earns the most, with its proven bound, or the promises that clash."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.measures import Finding, Findings
from gambrel.optimize import Answer, Problem
from gambrel.plan.answer import plan_of, sides_of, start_for
from gambrel.plan.binding import binding_of
from gambrel.plan.bound import Bound, bound_of, relaxed
from gambrel.plan.check import check_plan
from gambrel.plan.clash import clashes
from gambrel.plan.look import look_at_week, with_styles
from gambrel.plan.model import PlanModel, build, walk_of
from gambrel.plan.places import NO_LOSSES, Losses
from gambrel.plan.result import PlanResult
from gambrel.plan.rules import lay_down
from gambrel.plan.shares import Shares, ShareSource, forecast_shares
from gambrel.plan.sides import SideGroup, side_groups
from gambrel.plan.week import Week

FIRST_LOOK = (1e-6, 3e-4, 2e-3, 1e-2, math.inf)
"""How far below the bound, as shares of it, the first search looks: wider until some plan is found."""

SECOND_LOOK, SECOND_LOOK_SECONDS = 5e-4, 6.0

OPTIMAL_GAP = 1e-6
"""A gap below this is called optimal; it is the solver's own tolerance."""


@dataclass
class _Search:
    """The best plan so far and what is proven; `full` builds the week's model within some losses."""

    groups: tuple[SideGroup, ...]
    build: Callable[[Callable[[SideGroup], Losses], bool], PlanModel]
    gap: float
    ends: float
    threads: int
    model: PlanModel | None = None
    values: np.ndarray | None = None
    gain_cents: float = -math.inf
    bound_cents: float = math.inf

    @property
    def seconds_left(self) -> float:
        return self.ends - time.perf_counter()

    @property
    def wanted_cents(self) -> float:
        """The bound that would prove the plan good enough."""
        return self.gain_cents + self.gap * abs(self.gain_cents)

    def look(self, bound: Bound, limit_cents: float, gap: float, seconds: float = math.inf) -> bool:
        """Search what lies within `limit_cents` of the bound; False when nothing there keeps every promise.

        Whatever is left out lies below the bound less the limit, so the larger of that and the solver's own
        bound holds for the whole week.
        """
        model = self.build(lambda group: replace(bound.losses[group.number], limit_cents=limit_cents), False)
        start = None if self.model is None else self._start(model)
        answer = model.problem.solve(
            gap=gap, seconds=min(seconds, max(1.0, self.seconds_left)), threads=self.threads, start=start
        )
        left_out = bound.gain_cents - limit_cents
        if answer.status != "no-plan" and math.isfinite(answer.bound):
            self.bound_cents = min(self.bound_cents, max(answer.bound, left_out))
        elif answer.status == "no-plan":
            self.bound_cents = min(self.bound_cents, max(self.gain_cents, left_out))
        if answer.values.size and answer.objective > self.gain_cents:
            self.model, self.values, self.gain_cents = model, answer.values, answer.objective
        return answer.status != "no-plan"

    def _start(self, model: PlanModel) -> np.ndarray | None:
        assert self.model is not None and self.values is not None
        return start_for(model, sides_of(self.model, self.values))


def solve_week(
    week: Week,
    *,
    tree: Tree | None = None,
    shares: ShareSource = forecast_shares,
    gap: float = 0.005,
    seconds: float = 60.0,
    threads: int = 2,
) -> PlanResult:
    """The most profitable plan to a proven relative `gap`, or the best found in `seconds`.

    Raises `CannotDo` for slips that make the week meaningless (a pin on a closed day, an unknown cut). A week
    whose promises clash gives a result with status no-plan and the clash as findings. Every plan is checked
    by `check_plan`, which knows nothing of the model, before it is returned.
    """
    began = time.perf_counter()
    tree = (tree or shipped_tree()).trimmed(week.shop.trim)
    findings = Findings()
    week = with_styles(week, tree, findings)
    groups = side_groups(week, findings)
    notes = look_at_week(week, tree, findings)
    findings.stop_if_any()
    shares_of = {hanging.id: shares(hanging.animal, tree) for hanging in week.animals}

    def build_within(losses: Callable[[SideGroup], Losses], split: bool) -> PlanModel:
        return _laid_down(week, tree, groups, shares_of, losses, split)

    search = _Search(groups, build_within, gap, began + seconds, threads)
    split = build_within(lambda group: NO_LOSSES, True)
    answer = relaxed(split.problem).solve(seconds=seconds, threads=threads)
    if answer.status == "no-plan":
        return _no_plan(relaxed(split.problem), split, notes, began, seconds)
    if answer.status == "optimal":
        _narrow_in(search, bound_of(split, answer))
    if search.model is None or search.values is None:
        if answer.status == "time-limit" or search.bound_cents > -math.inf:
            return _too_late(notes, began, seconds)
        whole = build_within(lambda group: NO_LOSSES, False)
        return _no_plan(whole.problem, whole, notes, began, seconds)
    result = _plan(search.model, search.values, search.bound_cents, gap, split)
    result = replace(result, findings=notes, seconds=time.perf_counter() - began)
    check_plan(week, tree, shares_of, result)
    return replace(result, seconds=time.perf_counter() - began)


def _laid_down(
    week: Week,
    tree: Tree,
    groups: tuple[SideGroup, ...],
    shares_of: dict[str, Shares],
    losses: Callable[[SideGroup], Losses],
    split: bool,
) -> PlanModel:
    options = tuple(
        walk_of(week, tree, group.hanging, shares_of[group.hanging.id], losses=losses(group)).options(
            pool_all=split
        )
        for group in groups
    )
    model = build(week, groups, options)
    lay_down(model, split=split)
    return model


def _narrow_in(search: _Search, bound: Bound) -> None:
    """First a plan out of the best ways, then just so much wider a search that its gap is proven."""
    search.bound_cents = bound.gain_cents
    size = max(1.0, abs(bound.gain_cents))
    limit_cents = 0.0
    for share in FIRST_LOOK:
        limit_cents = share * size
        if search.look(bound, limit_cents, min(0.5 * search.gap, 0.002)) and search.model is not None:
            break
        if search.seconds_left <= 0 or math.isinf(share):
            if search.model is None and math.isinf(share) and search.seconds_left > 0:
                search.bound_cents = -math.inf  # the whole week was searched: no plan keeps every promise
            return
    if bound.gain_cents - search.gain_cents > 2.0 * search.gap * size and limit_cents < SECOND_LOOK * size:
        # The first plan is poor (a small week with tight hours): a better one makes the proof below cheaper.
        search.look(bound, SECOND_LOOK * size, min(0.5 * search.gap, 0.002), seconds=SECOND_LOOK_SECONDS)
    while (
        search.bound_cents > search.wanted_cents and search.seconds_left > 1.0 and not math.isinf(limit_cents)
    ):
        needed = (bound.gain_cents - search.wanted_cents) * 1.02 + 1e-7 * size
        limit_cents = max(needed, 1.5 * limit_cents)
        search.look(bound, limit_cents, 0.99 * search.gap)


def _no_plan(
    problem: Problem, model: PlanModel, notes: tuple[Finding, ...], began: float, seconds: float
) -> PlanResult:
    why = clashes(problem, model, seconds=seconds)
    return PlanResult("no-plan", 0, math.inf, time.perf_counter() - began, findings=(*notes, *why))


def _too_late(notes: tuple[Finding, ...], began: float, seconds: float) -> PlanResult:
    late = Finding(
        "the plan", f"{seconds:g} s", "time to find any plan", "Give it more seconds, or plan fewer days."
    )
    return PlanResult("time-limit", 0, math.inf, time.perf_counter() - began, findings=(*notes, late))


def _plan(model: PlanModel, found: np.ndarray, bound: float, gap: float, split: PlanModel) -> PlanResult:
    """The solver's answer made exact: whole choices fixed, the rest solved anew, money rounded line by line."""
    exact = exactly(model.problem, found)
    sides, parts = plan_of(model, exact.values)
    # The nudge for the target day is no profit: the bound on profit is the solver's bound and all of it.
    profit_cents = parts.money.profit_cents
    bound_cents = max(math.ceil(bound + split.nudge_limit_cents), profit_cents)
    reached = (bound_cents - profit_cents) / max(1.0, abs(profit_cents))
    # Optimal to the solver's tolerance, the nudge, and half a cent of rounding on every line of money.
    lines = len(parts.sales) + len(parts.filled) + len(parts.surplus) + 2 * len(parts.days) + 1
    nothing = OPTIMAL_GAP * abs(profit_cents) + split.nudge_limit_cents + 0.5 * lines + 1.0
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
