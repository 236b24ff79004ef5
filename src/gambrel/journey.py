"""The steps composed: from a week's file of hanging animals to grades, weights, forecast, plan, prices and bids."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from gambrel.breakdown import Forecast, forecast_side
from gambrel.catalog.cuts import Cut
from gambrel.catalog.grading import face_of
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.ways import Tree
from gambrel.hang.window import Window, ready_window
from gambrel.measures import CannotDo, Estimate, Finding
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.shares import ModelSource
from gambrel.plan.solve import solve_week
from gambrel.plan.week import Hanging, Week
from gambrel.price.bid import Bid
from gambrel.price.week_bid import bid_for_kind
from gambrel.price.week_prices import WeekPrices, price_week
from gambrel.standards.carcass_grades import Grades, grade_carcass

USUAL_STYLE = "boneless"


@dataclass(frozen=True, slots=True)
class SideOnRail:
    """One side as it hangs: its animal, window, and weight today and on the day it is cut."""

    id: str
    hanging: Hanging
    half: str
    window: Window
    today_kg: Estimate
    plan: SidePlan | None

    @property
    def cut_on(self) -> date | None:
        return self.plan.day if self.plan else None


@dataclass(frozen=True, slots=True)
class Journey:
    """Everything the week's file leads to. Without a plan there are no prices and no bids."""

    week: Week
    grades: Mapping[str, Grades]
    sides: tuple[SideOnRail, ...]
    plan: PlanResult
    forecasts: Mapping[str, Forecast]
    prices: WeekPrices | None
    bids: Mapping[str, Bid]
    findings: tuple[Finding, ...]


def walk(
    week: Week, *, tree: Tree, cuts: Mapping[str, Cut], draws: int = 4000, seed: int = 1,
    gap: float = 0.005, seconds: float = 60.0,
) -> Journey:  # fmt: skip
    """Do the whole job on one week. `CannotDo` only for slips; promises that clash are in the plan's findings.

    Every side is forecast by the ways the plan takes, or boneless where it hangs on, on the day it is cut or
    the plan ends.
    """
    plan = solve_week(week, tree=tree, gap=gap, seconds=seconds)
    return walk_planned(week, plan, tree=tree, cuts=cuts, draws=draws, seed=seed)


def walk_planned(
    week: Week, plan: PlanResult, *, tree: Tree, cuts: Mapping[str, Cut], draws: int = 4000, seed: int = 1
) -> Journey:
    """The rest of the job on a week that is planned already: forecasts, prices and bids."""
    findings: list[Finding] = []
    sides = sides_on_rail(week, plan)
    forecasts = {side.id: forecast_on_rail(side, week, tree=tree, cuts=cuts, draws=draws, seed=seed + number)
                 for number, side in enumerate(sides)}  # fmt: skip
    prices, bids = None, {}
    if plan.has_plan:
        try:
            prices = price_week(week, plan)
            bids = {kind: bid_for_kind(week.kinds[kind], cost, week, plan, ways=ways_of_kind(kind, plan),
                                       tree=tree, cuts=cuts, draws=draws, seed=seed)
                    for kind, cost in prices.kinds.items()}  # fmt: skip
        except CannotDo as refusal:
            findings.extend(refusal.findings)
    return Journey(week, _grades(week), sides, plan, forecasts, prices, bids, tuple(findings))


def sides_on_rail(week: Week, plan: PlanResult) -> tuple[SideOnRail, ...]:
    """Every side of the week as it hangs on the first day of the plan, and what the plan makes of it."""
    planned = {side.id: side for side in plan.sides}
    return tuple(
        _on_rail(hanging, half, week, planned.get(hanging.side_id(half)))
        for hanging in week.animals
        for half in hanging.side_hot_kg
    )


def _grades(week: Week) -> dict[str, Grades]:
    """Estimates for every animal whose rib face was read."""
    return {hanging.id: grade_carcass(face_of(hanging.animal)) for hanging in week.animals
            if hanging.animal.fat_mm is not None and hanging.animal.ribeye_cm2 is not None}  # fmt: skip


def _on_rail(hanging: Hanging, half: str, week: Week, plan: SidePlan | None) -> SideOnRail:
    hot_kg = hanging.side_hot_kg[half]
    loss = hanging.loss(hot_kg)
    hung_days = max(0, (week.shop.start - hanging.killed).days)
    window = ready_window(hanging.kind, hanging.killed, hang_days=hanging.hang_days)
    return SideOnRail(hanging.side_id(half), hanging, half, window,
                      loss.remaining_share(hung_days).times(hot_kg), plan)  # fmt: skip


def forecast_on_rail(
    side: SideOnRail, week: Week, *, tree: Tree, cuts: Mapping[str, Cut], draws: int, seed: int,
    models: ModelSource | None = None,
) -> Forecast:  # fmt: skip
    """The forecast of one side as the plan breaks it, lawful for its age, by the `models` that a shop has learned."""
    hanging = side.hanging
    hot_kg = hanging.side_hot_kg[side.half]
    loss = hanging.loss(hot_kg)
    day = side.cut_on or week.shop.end
    hung = hot_kg * loss.draw_remaining(
        max(0, (day - hanging.killed).days), draws, np.random.default_rng((seed, 3))
    )
    chosen: Mapping[str, str] = tree.style(USUAL_STYLE, hanging.animal.species)
    if side.plan is not None and side.plan.ways:
        chosen = side.plan.ways
    lawful, _, _ = lawful_choice(
        tree, cuts, hanging.animal, chosen, srm_policy_bison=week.shop.srm_policy_bison
    )
    return forecast_side(hanging.animal, lawful, tree=tree, cuts=cuts, hung_kg=hung, seed=seed,
                         learned=models(hanging.animal, hanging.id) if models else None)  # fmt: skip


def ways_of_kind(kind: str, plan: PlanResult) -> Mapping[str, str]:
    """How the plan breaks the kind's heaviest side: what the next one is taken to be broken like."""
    cut = [side for side in plan.sides if side.kind == kind and side.day is not None]
    return max(cut, key=lambda side: (side.weight_kg, side.id)).ways
