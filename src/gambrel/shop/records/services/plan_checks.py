"""What is looked into once a plan is found: how it fares on draws, and what keeping the last plan would cost."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import Finding
from gambrel.measures.money import show_money
from gambrel.plan.pinned import APART, as_named, with_pins
from gambrel.plan.questions.clash_set import clash_finding, smallest_clash
from gambrel.plan.questions.compare import seen
from gambrel.plan.questions.draws import SideSource, forecast_source
from gambrel.plan.questions.near_last import near_last
from gambrel.plan.questions.safety import solve_safely
from gambrel.plan.questions.since import since_last
from gambrel.plan.questions.tried import try_plan
from gambrel.plan.questions.week_changes import week_changes
from gambrel.plan.questions.why import Solver
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.shares import ModelSource, forecast_shares, learned_shares
from gambrel.plan.week import Pin, Week
from gambrel.shop.records.models import Plan, PlanState
from gambrel.shop.records.stored import plain, restored

DRAWS = 400
CHANGE_CENTS, MOST_ALONE = 500, 6
"""A side that is cut otherwise than in the accepted plan must earn so much more; so many are looked at one by one."""
CLASH_SECONDS = 10.0
"""Longest time for each question while the promises that clash are narrowed down."""
Settled = Mapping[str, Pin]


def solver_of(
    solver: Callable[..., PlanResult], pins: Settled, models: ModelSource | None, **limits: Any
) -> Solver:
    """Plans a week with the sides that are settled by themselves, every side under its own name, by the yields of
    `models`."""
    shares = forecast_shares if models is None else learned_shares(models)

    def solve(week: Week) -> PlanResult:
        open_sides = {
            one.side_id(half) for one in week.animals if one.pin == Pin() for half in one.side_hot_kg
        }
        settled = with_pins(week, {name: pin for name, pin in pins.items() if name in open_sides})
        return as_named(solver(settled, tree=shipped_tree(), shares=shares, threads=1, **limits), settled)

    return solve


def source_for(week: Week, models: ModelSource | None) -> SideSource:
    return forecast_source(shipped_tree().trimmed(week.shop.trim), shipped_cuts(), models)


def made_safe(
    week: Week, plan: PlanResult, safety_share: float | None, solve: Solver, models: ModelSource | None
) -> tuple[PlanResult, dict[str, Any]]:
    """The plan whose promises hold as often as asked, and what is kept of how it was tried."""
    if safety_share is None:
        return plan, {"tried": plain(try_plan(week, plan, source_for(week, models), draws=DRAWS))}
    safe = solve_safely(
        week, plan, safety_share=safety_share, solve=solve, source=source_for(week, models), draws=DRAWS
    )
    return safe.plan, {
        "tried": plain(safe.tried),
        "safety": {"share": safety_share, "costs_cents": safe.costs_cents, "reserve_kg": safe.reserve_kg,
                   "findings": plain(safe.findings)},
    }  # fmt: skip


def clash_found(
    week: Week, refused: PlanResult, pins: Settled, models: ModelSource | None,
    solver: Callable[..., PlanResult], *, stop: Callable[[], bool] | None = None,
) -> tuple[Finding, ...]:  # fmt: skip
    """The smallest set of promises that no plan keeps together, as one finding; none where the time was up instead."""
    if refused.status != "no-plan":
        return ()
    settled = with_pins(week, pins)
    quick = solver_of(solver, {}, models, gap=1.0, seconds=CLASH_SECONDS, stop=stop)
    clash = smallest_clash(settled, quick)
    if not clash:
        return ()
    found = clash_finding(clash)
    return (replace(found, where=found.where.replace(APART, "-"), given=found.given.replace(APART, "-")),)


def near_accepted(week: Week, best: PlanResult, last: tuple[SidePlan, ...], solve: Solver) -> PlanResult:
    """The plan with sides left as in the accepted one where changing them earns next to nothing, and a note of it."""
    near = near_last(week, best, last, solve, least_cents=CHANGE_CENTS, most=MOST_ALONE)
    if not near.put_back:
        return best
    note = Finding(
        "sides as in the plan before",
        ", ".join(near.put_back),
        f"a change that earns {show_money(CHANGE_CENTS)} or more a side",
        f"They stay as they were. The best plan found earns {show_money(near.costs_cents)} more.",
    )
    return replace(near.plan, findings=(*near.plan.findings, note))


def accepted_before(plan_id: int) -> Plan | None:
    """The plan that the shop worked by when the one of this number was asked for."""
    last = Plan.objects.filter(accepted_at__isnull=False, state=PlanState.DONE, pk__lt=plan_id)
    return last.order_by("-accepted_at", "-pk").first()


def since_accepted(plan_row: Plan, week: Week, plan: PlanResult, solve: Solver) -> dict[str, Any]:
    """What changed since the plan the shop works by: the week's differences, and what going back costs or breaks."""
    before = accepted_before(plan_row.pk)
    if before is None:
        return {}
    old_week, old = restored(Week, before.week["week"]), restored(PlanResult, before.answer["plan"])
    since = since_last(week, plan, seen(old_week, old), solve, most=0)
    return {"since": {"before": before.pk, "week": plain(week_changes(old_week, week)),
                      "back": plain(since.all_back)}}  # fmt: skip
