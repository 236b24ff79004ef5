"""Promises kept with a given probability: a reserve is cut for each promise that the draws break too often.

The week is planned for the mean and tried on scenarios, equally likely draws of what comes off. Where an order that
must be met is filled in too few of them, a reserve of its cut, worth only its salvage, is asked of the plan beside
it, as large as the scenarios are short at the wanted probability; this is repeated until every promise holds. The
plan is then judged on fresh draws that had no part in it.

Each promise by itself is kept that often, not all of them at once. The plan found is safe, not proven to be the
most profitable of all safe plans; the bound it is told with is that of all plans, safe or not.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gambrel.measures import Finding
from gambrel.plan.pinned import as_named, with_pins
from gambrel.plan.questions.draws import SideSource, draw_made
from gambrel.plan.questions.recourse import Selling, sell
from gambrel.plan.questions.tried import KEPT_KG, Tried, try_plan
from gambrel.plan.questions.why import Solver
from gambrel.plan.result import PlanResult
from gambrel.plan.week import Order, Pin, Week

MOST_ROUNDS = 8
RESERVE = "reserve for "
"""The name of a reserve is that of its order with this before it."""

ONE_SIDED_95 = 1.645
"""Standard normal deviate: the scenarios must hold the promise a little oftener, so that fresh draws hold it too."""


@dataclass(frozen=True, slots=True)
class SafePlan:
    """A plan whose promises are kept in a share `safety_share` of the draws, or as near as it came.

    `tried` is on fresh draws. `costs_cents`: what the plan for the mean earns more, by the mean. `reserve_kg` by
    order id. `findings` name the promises that cannot be made so safe.
    """

    plan: PlanResult
    tried: Tried
    safety_share: float
    costs_cents: int
    reserve_kg: dict[str, float]
    findings: tuple[Finding, ...]

    @property
    def is_safe(self) -> bool:
        return not self.findings


def solve_safely(
    week: Week,
    first: PlanResult,
    *,
    safety_share: float,
    solve: Solver,
    source: SideSource,
    draws: int = 400,
    seed: int = 1,
) -> SafePlan:
    """The week planned so that every order that must be met is filled with probability `safety_share` (0 to 1).

    `first` is its plan for the mean.
    """
    aim = min(1.0, safety_share + ONE_SIDED_95 * float(np.sqrt(safety_share * (1.0 - safety_share) / draws)))
    plan, reserve_kg = first, dict.fromkeys((order.id for order in week.orders if order.must), 0.0)
    clash: tuple[Finding, ...] = ()
    for _ in range(MOST_ROUNDS):
        made = draw_made(week, plan, source, draws=draws, seed=seed)
        more = _more_needed(week, sell(week, plan, made), aim)
        if not more:
            break
        reserve_kg = {name: kg + more.get(name, 0.0) for name, kg in reserve_kg.items()}
        with_reserve = solve(_with_reserves(week, reserve_kg))
        if not with_reserve.has_plan:
            clash = with_reserve.findings
            break
        plan = _in_the_true_week(week, with_reserve, solve)
    tried = try_plan(week, plan, source, draws=draws, seed=seed + 1)
    plan = plan if plan is first else plan.bounded_by(first)
    costs = first.profit_cents - plan.profit_cents
    reserves = {name: kg for name, kg in reserve_kg.items() if kg > 0.0}
    return SafePlan(plan, tried, safety_share, costs, reserves, _not_safe(tried, safety_share, draws, clash))


def _more_needed(week: Week, selling: Selling, aim: float) -> dict[str, float]:
    """By order id, how much more of its cut the mean must give for the scenarios to hold it often enough [kg]."""
    more: dict[str, float] = {}
    for number, filled_kg in selling.filled_kg.items():
        order = week.orders[number]
        if not order.must or float(np.mean(filled_kg >= order.weight_kg - KEPT_KG)) >= aim:
            continue
        low_kg = float(np.quantile(filled_kg, 1.0 - aim))
        more[order.id] = (order.weight_kg - low_kg) * order.weight_kg / max(
            low_kg, 0.5 * order.weight_kg
        ) + KEPT_KG
    return more


def _with_reserves(week: Week, reserve_kg: dict[str, float]) -> Week:
    reserves = tuple(
        replace(
            order,
            id=RESERVE + order.id,
            weight_kg=reserve_kg[order.id],
            price_cents_per_kg=_salvage(week, order),
        )
        for order in week.orders
        if reserve_kg.get(order.id, 0.0) > 0.0
    )
    return replace(week, orders=(*week.orders, *reserves))


def _salvage(week: Week, order: Order) -> float:
    """What the reserve brings when it is not needed, at the least: the salvage of those who take the cut."""
    takers = [one.salvage_cents_per_kg for one in week.demands if one.slug == order.slug]
    return min(takers, default=0.0)


def _in_the_true_week(week: Week, plan: PlanResult, solve: Solver) -> PlanResult:
    """The days and ways of a plan with reserves, sold as the week itself allows: a reserve is sold like the rest."""
    pins = {side.id: Pin(side.day, side.ways) for side in plan.sides}
    settled = with_pins(week, pins)
    found = as_named(solve(settled), settled)
    if not found.has_plan:
        raise RuntimeError("a plan with reserves does not hold without them: " + str(found.findings))
    return found


def _not_safe(
    tried: Tried, safety_share: float, draws: int, clash: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """Promises that fresh draws break too often, beyond what the luck of so many draws explains."""
    luck = ONE_SIDED_95 * float(np.sqrt(safety_share * (1.0 - safety_share) / draws))
    broken = [one for one in tried.promises if one.must and one.kept_share < safety_share - luck]
    found = [Finding(f"order {one.order}", f"kept in {one.kept_share:.0%} of {draws} draws",
                     f"{one.wanted_kg:.1f} kg of {one.slug} kept in {safety_share:.0%}",
                     "Agree on less or another day, bring in another animal, or take the risk knowingly.")
             for one in broken]  # fmt: skip
    return (*found, *clash) if found else ()
