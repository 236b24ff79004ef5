"""Planned again with little change for little gain: a side stays as in the last plan unless changing it earns enough.

The new plan is found first, so that its bound holds; then sides that go otherwise than before are put back as they
were, all of them if that costs no more than so much a side, and else as many as may be put back at that price. Every
plan on the way is planned and checked as any other, with all its sides settled.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gambrel.measures import CannotDo
from gambrel.plan.questions.why import Solver, plan_with, side_named
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.sides import cutting_days
from gambrel.plan.week import Pin, Week

MOST_ALONE = 12
"""So many changed sides are looked at one by one, where no more are asked for."""


@dataclass(frozen=True, slots=True)
class NearLast:
    """The plan to work by: sides put back as in the last plan, and what that costs against the best found [cents]."""

    plan: PlanResult
    put_back: tuple[str, ...]
    costs_cents: int


def near_last(
    week: Week, best: PlanResult, last: Iterable[SidePlan], solve: Solver, *, least_cents: float,
    most: int = MOST_ALONE,
) -> NearLast:  # fmt: skip
    """`best` with every side cut as in `last` whose change earns less than `least_cents`, counted over all put back.

    A day that is gone, closed or no longer in the side's window, and a way that is no longer open, stay changed.
    """
    old = {side.id: side for side in last}
    new = {side.id: side for side in best.sides}
    changed = [name for name in new if name in old and _is_changed(old[name], new[name])
               and _may_go_back(week, old[name])]  # fmt: skip

    def put_back(names: Iterable[str]) -> PlanResult | None:
        back = set(names)
        pins = {name: _pin(old[name] if name in back else new[name]) for name in new}
        try:
            found = plan_with(week, {name: pin for name, pin in pins.items() if pin is not None}, solve)
        except CannotDo:  # a way of the last plan is not open any more
            return None
        return found if found.has_plan else None

    def enough(names: list[str]) -> NearLast | None:
        found = put_back(names)
        if found is None or best.profit_cents - found.profit_cents > least_cents * len(names):
            return None
        costs = best.profit_cents - found.profit_cents
        return NearLast(found.bounded_by(best), tuple(names), costs)

    if changed and (whole := enough(changed)) is not None:
        return whole
    alone = {name: found.profit_cents for name in changed[:most] if (found := put_back([name])) is not None}
    cheap = [name for name in sorted(alone, key=lambda one: -alone[one])
             if best.profit_cents - alone[name] <= least_cents]  # fmt: skip
    for count in range(len(cheap), 0, -1):
        if (part := enough(cheap[:count])) is not None:
            return part
    return NearLast(best, (), 0)


def _is_changed(old: SidePlan, new: SidePlan) -> bool:
    return old.day != new.day or (old.day is not None and dict(old.ways) != dict(new.ways))


def _may_go_back(week: Week, old: SidePlan) -> bool:
    """Whether the day of the last plan is still open to the side; hanging on cannot be settled."""
    hanging, _ = side_named(week, old.id)
    return old.day is not None and old.day in cutting_days(hanging.of_side(old.half), week.shop)


def _pin(side: SidePlan) -> Pin | None:
    """Day and ways of a side as settled; None where it hangs on."""
    return None if side.day is None else Pin(side.day, dict(side.ways))
