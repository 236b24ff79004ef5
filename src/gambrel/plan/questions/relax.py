"""What easing a rule by one unit is worth, found by planning the eased week anew: an hour, a metre, a day, a side.

The plan as it was still stands in an eased week, so that easing is never worth less than nothing; what is told
is the gain that was found and the span that the bounds of both plans leave open.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import chain, count

from gambrel.catalog.animal import Animal
from gambrel.catalog.kinds import Kind
from gambrel.catalog.ways import WORK
from gambrel.measures import CannotDo, Finding, Findings
from gambrel.plan.pinned import own_name, own_side_id
from gambrel.plan.questions.why import Solver, Worth, worth_between
from gambrel.plan.result import PlanResult
from gambrel.plan.rules_time import PLACES
from gambrel.plan.sides import side_groups
from gambrel.plan.week import WEEKDAYS, Hanging, Week

EXTRA = "extra"
"""Name of the side that is added to see what one more would earn; with a number behind it where one hangs already."""


@dataclass(frozen=True, slots=True)
class Easing:
    """One unit of one rule: `what` is hours, places, rail, day, hang, promise or side; `of` says whose."""

    what: str
    of: str
    sentence: str
    week: Week


@dataclass(frozen=True, slots=True)
class Eased:
    """An easing and what it is worth; `worth` is None where the eased week has no plan, and `findings` say why."""

    what: str
    of: str
    sentence: str
    worth: Worth | None
    findings: tuple[Finding, ...] = ()


def easings(week: Week, plan: PlanResult) -> tuple[Easing, ...]:
    """Everything that may hold this plan back, each eased by one unit."""
    return (
        *_hours(week),
        *_places(week),
        *_rail(week, plan),
        *_cutting_days(week),
        *_hanging(week, plan),
        *_promises(week),
    )


def eased(week: Week, plan: PlanResult, solve: Solver, *, only: tuple[str, ...] = ()) -> tuple[Eased, ...]:
    """What each easing is worth, dearest first; `only` some of hours, places, rail, day, hang, promise."""
    wanted = [one for one in easings(week, plan) if not only or one.what in only]
    return tuple(sorted((_worth(one, plan, solve) for one in wanted),
                        key=lambda one: -(one.worth.cents if one.worth else 0)))  # fmt: skip


def extra_side(week: Week, plan: PlanResult, kind: str, solve: Solver) -> Eased:
    """What one side more of a kind would earn, before what it costs: of the kind's usual make, ready to be cut.

    It is the most that may be paid for such a side as this week stands; the bid asks for the margin as well.
    """
    if kind not in week.kinds:
        names = ", ".join(week.kinds)
        raise CannotDo([Finding("kind", kind, f"one of {names}", "Mend its name.")])
    sentence = f"one side more of {week.kinds[kind].name}"
    return _worth(Easing("side", kind, sentence, with_extra_side(week, week.kinds[kind])), plan, solve)


def with_extra_side(week: Week, kind: Kind) -> Week:
    """The week with a usual side of the kind that reaches its target day on the first cutting day of the plan."""
    animal = Animal(kind=kind, sex=kind.sexes[0], hot_kg=kind.hot_kg.mean, age_months=kind.usual_age_months)
    first = next((day for day in week.shop.calendar() if week.shop.is_cutting_day(day)), week.shop.start)
    killed = first - timedelta(days=kind.hang_days[1])
    names = {own_name(hanging) for hanging in week.animals}
    name = next(
        one for one in chain([EXTRA], (f"{EXTRA}{number}" for number in count(2))) if one not in names
    )
    side = Hanging(name, animal, killed, {"left": kind.hot_kg.mean / 2.0})
    return replace(week, animals=(*week.animals, side))


def _worth(easing: Easing, plan: PlanResult, solve: Solver) -> Eased:
    try:
        after = solve(easing.week)
    except CannotDo as refusal:  # such as a day longer on the rail than there are figures for
        return Eased(easing.what, easing.of, easing.sentence, None, tuple(refusal.findings))
    if not after.has_plan:
        return Eased(easing.what, easing.of, easing.sentence, None, after.findings)
    worth = worth_between(plan, after)
    if easing.what != "side" and worth.cents < 0:  # the plan as it was still stands and earns as much
        worth = Worth(0, max(0, worth.low_cents), max(0, worth.high_cents))
    return Eased(easing.what, easing.of, easing.sentence, worth)


def _hours(week: Week) -> Iterator[Easing]:
    """Every kind of work with a limit: a day too short for any side to be cut so looks idle, not full."""

    def longer_by(minutes: Mapping[str, float], work: str) -> dict[str, float]:
        return {name: each + 60.0 * (name == work) for name, each in minutes.items()}

    shop = week.shop
    for work in [
        one for one in WORK if any(one in each for each in (shop.minutes_a_day, *shop.minutes_on.values()))
    ]:
        on = {when: longer_by(minutes, work) for when, minutes in shop.minutes_on.items()}
        longer = replace(
            week, shop=replace(shop, minutes_a_day=longer_by(shop.minutes_a_day, work), minutes_on=on)
        )
        yield Easing("hours", work, f"one hour more of {work} work on each cutting day", longer)


def _places(week: Week) -> Iterator[Easing]:
    for work, places in week.shop.room.at_once.items():
        room = replace(week.shop.room, at_once={**week.shop.room.at_once, work: places + 1})
        yield Easing("places", work, f"one more of the {PLACES[work]}",
                     replace(week, shop=replace(week.shop, room=room)))  # fmt: skip


def _rail(week: Week, plan: PlanResult) -> Iterator[Easing]:
    shop = week.shop
    if shop.rail_mm is not None and any(
        day.rail_m > shop.rail_mm / 1000.0 - shop.rail_per_side_mm / 1000.0 for day in plan.days
    ):
        yield Easing("rail", "rail", "one metre more of rail",
                     replace(week, shop=replace(shop, rail_mm=shop.rail_mm + 1000.0)))  # fmt: skip


def _cutting_days(week: Week) -> Iterator[Easing]:
    for name in WEEKDAYS:
        opened = replace(week.shop, cutting_days=(*week.shop.cutting_days, name))
        if name not in week.shop.cutting_days and any(
            opened.is_cutting_day(day) and not week.shop.is_cutting_day(day) for day in opened.calendar()
        ):
            yield Easing("day", name, f"cutting on {name} as well", replace(week, shop=opened))


def _hanging(week: Week, plan: PlanResult) -> Iterator[Easing]:
    """One day longer on the rail for animals of a kind with a side cut on the last day it may be."""
    found = [group for group in side_groups(week, Findings()) if group.days and group.hanging.pin.day is None]
    last = {own_side_id(group.hanging, half): group.days[-1] for group in found for half in group.halves}
    late = {side.id for side in plan.sides if side.day is not None and side.day == last.get(side.id)}
    for hanging in week.animals:
        if late & {own_side_id(hanging, half) for half in hanging.side_hot_kg}:
            days = hanging.hang_days or hanging.kind.hang_days
            longer = replace(hanging, hang_days=(days[0], days[1], days[2] + 1))
            animals = tuple(longer if one is hanging else one for one in week.animals)
            yield Easing(
                "hang", hanging.id, f"{hanging.id} may hang one day longer", replace(week, animals=animals)
            )


def _promises(week: Week) -> Iterator[Easing]:
    for order in week.orders:
        if order.must and order.weight_kg > 1.0:
            less = replace(order, weight_kg=order.weight_kg - 1.0)
            orders = tuple(less if one is order else one for one in week.orders)
            yield Easing("promise", order.id, f"one kg less of {order.slug} for order {order.id}",
                         replace(week, orders=orders))  # fmt: skip
