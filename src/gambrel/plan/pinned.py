"""A week with single sides settled: an animal's pin holds for all of it that hangs, a side's for that side only.

Where the two halves of an animal are settled differently, each hangs under a name of its own while the week is
planned; `as_named` calls them by their own names again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gambrel.measures import Finding
from gambrel.plan.result import PlanResult
from gambrel.plan.week import Hanging, Pin, Week

APART = "+"
"""Joins an animal's name and a half while one side of it is planned by itself."""


def own_side_id(hanging: Hanging, half: str) -> str:
    """The name of a side, whether or not it is planned by itself."""
    return f"{own_name(hanging)}-{half}"


def own_name(hanging: Hanging) -> str:
    """The animal's name, whether or not a side of it is planned by itself."""
    (half, *more) = hanging.side_hot_kg
    return hanging.id if more else hanging.id.removesuffix(APART + half)


def with_pins(week: Week, pins: Mapping[str, Pin]) -> Week:
    """The week with those sides, by their own names, settled so; what is settled of the rest stays."""
    return replace(week, animals=tuple(one for hanging in week.animals for one in _settled(hanging, pins)))


def _settled(hanging: Hanging, pins: Mapping[str, Pin]) -> list[Hanging]:
    wanted = {half: pins.get(own_side_id(hanging, half), hanging.pin) for half in hanging.side_hot_kg}
    first = next(iter(wanted.values()))
    if all(pin == first for pin in wanted.values()):
        return [replace(hanging, pin=first)]
    return [replace(hanging, id=f"{hanging.id}{APART}{half}", pin=wanted[half], side_hot_kg={half: kg})
            for half, kg in hanging.side_hot_kg.items()]  # fmt: skip


def as_named(plan: PlanResult, week: Week) -> PlanResult:
    """The plan of a week of `with_pins` with every side called by its own name, in what is told as well."""
    own = {hanging.side_id(half): (own_side_id(hanging, half), own_name(hanging))
           for hanging in week.animals if own_name(hanging) != hanging.id for half in hanging.side_hot_kg}  # fmt: skip
    if not own:
        return plan
    sides = tuple(replace(side, id=own[side.id][0], animal=own[side.id][1]) if side.id in own else side
                  for side in plan.sides)  # fmt: skip
    named = {old: new for old, (new, _) in own.items()}
    days = tuple(replace(day, sides=tuple(named.get(name, name) for name in day.sides)) for day in plan.days)
    for one in week.animals:  # last, since the names of the sides begin with these
        if own_name(one) != one.id:
            named[one.id] = own_side_id(one, *one.side_hot_kg)

    def said(text: str) -> str:
        for old, new in named.items():
            text = text.replace(old, new)
        return text

    findings = tuple(
        Finding(said(one.where), said(one.given), said(one.wanted), said(one.do)) for one in plan.findings
    )
    binding = tuple(replace(one, rule=said(one.rule)) for one in plan.binding)
    return replace(plan, sides=sides, days=days, findings=findings, binding=binding)
