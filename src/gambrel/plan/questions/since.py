"""What changed since the last plan, and why: what keeping the last plan would cost in this week, side by side.

Every side that goes otherwise is put back as it was, by itself and all together, and the week is planned again:
either that breaks a promise, which is then named, or it costs so much.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from gambrel.measures import CannotDo, Finding, Findings
from gambrel.plan.questions.compare import Comparison, PlanSeen, SideChange, compare, seen
from gambrel.plan.questions.why import Solver, Worth, plan_with, worth_between
from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.tell import ProductLine
from gambrel.plan.week import Pin, Week

MOST_SIDES = 6
"""So many changed sides are put back one by one."""


@dataclass(frozen=True, slots=True)
class PutBack:
    """Sides cut as in the last plan again: what that costs (negative cents), or why it cannot be."""

    sides: tuple[str, ...]
    worth: Worth | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Since:
    """The changes, what it costs to keep the whole last plan (None: nothing changed), and each side by itself."""

    changes: Comparison
    all_back: PutBack | None
    each_back: tuple[PutBack, ...]


def since_last(
    week: Week, plan: PlanResult, last: PlanSeen, solve: Solver, *, most: int = MOST_SIDES
) -> Since:
    """What `plan` does otherwise than `last`, and what each change brings; `most` sides are put back one by one."""
    changes = compare(last, seen(week, plan))
    old = {side.id: side for side in last.sides}
    changed = [one for one in changes.sides if _may_go_back(week, one)]
    if not changed:
        return Since(changes, None, ())
    each = tuple(_put_back(week, plan, (one.side,), old, solve) for one in changed[:most])
    every = (
        each[0]
        if len(changed) == 1
        else _put_back(week, plan, tuple(one.side for one in changed), old, solve)
    )
    return Since(changes, every, each)


def _may_go_back(week: Week, change: SideChange) -> bool:
    """A day that has gone, or is closed now, cannot be gone back to; nor can hanging on be settled by a pin."""
    day = change.day_before
    return day is not None and week.shop.start <= day <= week.shop.end and week.shop.is_cutting_day(day)


def _put_back(
    week: Week, plan: PlanResult, sides: tuple[str, ...], old: Mapping[str, SidePlan], solve: Solver
) -> PutBack:
    try:
        found = plan_with(week, {name: Pin(old[name].day, old[name].ways) for name in sides}, solve)
    except CannotDo as refusal:  # a way of the last plan is not lawful, or not there, any more
        return PutBack(sides, None, tuple(refusal.findings))
    if not found.has_plan:
        return PutBack(sides, None, found.findings)
    return PutBack(sides, worth_between(plan, found), ())


def read_seen(told: Mapping[str, Any], where: str) -> PlanSeen:
    """A plan out of the JSON that `gambrel plan --json` prints; `CannotDo` when it is something else."""
    findings = Findings()
    if not all(isinstance(told.get(name), kind) for name, kind in
               (("sides", list), ("products", list), ("money_cents", dict))):  # fmt: skip
        findings.add(
            where, "no plan", "what `gambrel plan WEEK --json` printed", "Keep its output and give that file."
        )
        findings.stop_if_any()
    try:
        sides = tuple(_side(one) for one in told["sides"])
        lines = tuple(_line(one) for one in told["products"])
        money = Money(**{f"{name}_cents": int(cents) for name, cents in told["money_cents"].items()})
    except (AttributeError, KeyError, OverflowError, TypeError, ValueError) as slip:
        findings.add(where, f"a plan that lacks something ({slip})", "what `gambrel plan WEEK --json` printed",
                     "Give the file as it was printed.")  # fmt: skip
        findings.stop_if_any()
        raise
    return PlanSeen(sides, lines, money)


def _side(told: Mapping[str, Any]) -> SidePlan:
    day = None if told["day"] is None else date.fromisoformat(told["day"])
    name = str(told["id"])
    ways = {str(piece): str(way) for piece, way in told["ways"].items()}
    half = name.rsplit("-", 1)[-1]
    return SidePlan(name, str(told["animal"]), half, str(told["kind"]), day, _kg(told["weight_kg"]), ways)


def _line(told: Mapping[str, Any]) -> ProductLine:
    return ProductLine(str(told["slug"]), str(told["for"]), _amounts(told["sold"]), _amounts(told["orders"]),
                       _kg(told["ground_kg"]), _kg(told["leftover_kg"]), int(told["revenue_cents"]))  # fmt: skip


def _amounts(told: Any) -> tuple[dict[str, Any], ...]:
    return tuple({**one, "kg": _kg(one["kg"])} for one in told)


def _kg(told: Any) -> float:
    kg = float(told)
    if not math.isfinite(kg):
        raise ValueError(f"{kg} is no weight")
    return kg
