"""The smallest set of promises that clash: none of them can be left out, and giving way on any one makes a plan.

`clash.py` says which promises give way least and by how much. Here is said who is at odds with whom: a subset of
the promises that no plan keeps together, while every part of it can be kept. Found by dividing the promises in
halves [Junker, QUICKXPLAIN: preferred explanations and relaxations for over-constrained problems, AAAI 2004; the
method is written down from memory], each time asking whether a plan keeps those that are left.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from gambrel.catalog.ways import WORK
from gambrel.measures import CannotDo, Finding
from gambrel.plan.questions.why import Solver
from gambrel.plan.rules_time import PLACES
from gambrel.plan.week import Hanging, Pin, Week


@dataclass(frozen=True, slots=True)
class Promise:
    """Something a person settled and could give way on.

    `what` is order, share, settled, ways, hours, places, rail or cut by.
    """

    what: str
    of: str
    sentence: str
    given_way: Callable[[Week], Week]
    """The week without it."""


def promises_of(week: Week) -> tuple[Promise, ...]:
    """All promises of a week; what comes first is rather kept in the set when there are several."""
    return (*_orders(week), *_shares(week), *_settled(week), *_limits(week), *_latest_days(week))


def smallest_clash(week: Week, solve: Solver) -> tuple[Promise, ...]:
    """Promises that clash, as few as can be; empty when even without all of them there is no plan, or there is one.

    `solve` may stop at any plan: only whether there is one is asked, some ten times for a clash of two or three.
    A question that is not settled in the solver's time counts as kept.
    """
    every = promises_of(week)

    def keeps(kept: tuple[Promise, ...]) -> bool:
        eased = week
        for one in every:
            if one not in kept:
                eased = one.given_way(eased)
        try:
            return solve(eased).status != "no-plan"
        except CannotDo:  # a slip is no clash: it would be told before any plan is looked for
            return True

    if keeps(every) or not keeps(()):
        return ()
    return _divide((), every, keeps, changed=False)


def _divide(
    base: tuple[Promise, ...],
    rest: tuple[Promise, ...],
    keeps: Callable[[tuple[Promise, ...]], bool],
    *,
    changed: bool,
) -> tuple[Promise, ...]:
    """The least part of `rest` that clashes with `base`."""
    if changed and not keeps(base):
        return ()
    if len(rest) == 1:
        return rest
    half = len(rest) // 2
    first, second = rest[:half], rest[half:]
    of_second = _divide((*base, *first), second, keeps, changed=bool(first))
    of_first = _divide((*base, *of_second), first, keeps, changed=bool(of_second))
    return (*of_first, *of_second)


def clash_finding(clash: tuple[Promise, ...]) -> Finding:
    """The set as one finding."""
    names = "; ".join(one.sentence for one in clash)
    if len(clash) == 1:
        return Finding(f"{clash[0].what} {clash[0].of}".strip(), names, "something that can be kept",
                       "No plan keeps it, whatever else gives way.")  # fmt: skip
    return Finding("promises that clash", names, "a plan that keeps them all",
                   "Give way on any one of these: the others can then be kept together.")  # fmt: skip


def _orders(week: Week) -> Iterator[Promise]:
    for order in week.orders:
        if order.must:
            told = f"order {order.id}, {order.weight_kg:.1f} kg of {order.slug} ({order.group.name}) by {order.by}"
            yield Promise("order", order.id, told, partial(_without_order, name=order.id))


def _shares(week: Week) -> Iterator[Promise]:
    """Owners' days: giving way on one, its side may hang as long as any."""
    for hanging in week.animals:
        for half, side in hanging.owned.items():
            if side.by is not None:
                told = f"{hanging.side_id(half)} is promised to {side.owner} by {side.by}"
                yield Promise(
                    "share", hanging.side_id(half), told, partial(_whenever, name=hanging.id, half=half)
                )


def _settled(week: Week) -> Iterator[Promise]:
    for hanging in week.animals:
        name, pin = hanging.id, hanging.pin
        if pin.day is not None:
            yield Promise("settled", name, f"{name} is settled for {pin.day}", partial(_any_day, name=name))
        if pin.ways:
            told = ", ".join(f"{piece} {way}" for piece, way in sorted(pin.ways.items()))
            yield Promise(
                "settled", name, f"{name} is settled to go {told}", partial(_unpinned_ways, name=name)
            )
        if hanging.ways_allowed or hanging.ways_forbidden or hanging.style_name:
            yield Promise("ways", name, f"{name} may go some ways only", partial(_any_way, name=name))


def _limits(week: Week) -> Iterator[Promise]:
    shop = week.shop
    for work in WORK:
        told = [f"{minutes / 60.0:.1f} h of {work} work on {when}"
                for when, each in (("a cutting day", shop.minutes_a_day), *shop.minutes_on.items())
                for name, minutes in each.items() if name == work]  # fmt: skip
        if told:
            yield Promise("hours", work, ", ".join(told), partial(_without_hours, work=work))
    for work, places in shop.room.at_once.items():
        told_places = f"{places} {PLACES[work]}, open {shop.room.open_min / 60.0:.1f} h"
        yield Promise("places", work, told_places, partial(_without_places, work=work))
    if week.shop.rail_mm is not None:
        yield Promise("rail", "", f"{week.shop.rail_mm / 1000.0:.1f} m of rail", _without_rail)


def _latest_days(week: Week) -> Iterator[Promise]:
    for hanging in week.animals:
        days = hanging.hang_days or hanging.kind.hang_days
        if hanging.pin.day is None:
            told = f"{hanging.id} hangs {days[2]} days at most"
            yield Promise("cut by", hanging.id, told, partial(_hang_on, name=hanging.id))


def _without_order(week: Week, *, name: str) -> Week:
    return replace(week, orders=tuple(one for one in week.orders if one.id != name))


def _with(week: Week, name: str, change: Callable[[Hanging], Hanging]) -> Week:
    return replace(week, animals=tuple(change(one) if one.id == name else one for one in week.animals))


def _whenever(week: Week, *, name: str, half: str) -> Week:
    return _with(
        week, name, lambda one: replace(one, owned={**one.owned, half: replace(one.owned[half], by=None)})
    )


def _any_day(week: Week, *, name: str) -> Week:
    return _with(week, name, lambda one: replace(one, pin=Pin(None, one.pin.ways)))


def _unpinned_ways(week: Week, *, name: str) -> Week:
    return _with(week, name, lambda one: replace(one, pin=Pin(one.pin.day)))


def _any_way(week: Week, *, name: str) -> Week:
    return _with(week, name, lambda one: replace(one, ways_allowed={}, ways_forbidden={}, style_name=None))


def _hang_on(week: Week, *, name: str) -> Week:
    """The animal with a latest day beyond the plan, or as far as its loss on the rail is known."""

    def longer(one: Hanging) -> Hanging:
        days = one.hang_days or one.kind.hang_days
        known = min(int(one.loss(hot_kg).last_day) for hot_kg in one.side_hot_kg.values())
        longest = max(days[2], min(known, (week.shop.end - one.killed).days + 1))
        return replace(one, hang_days=(days[0], days[1], longest))

    return _with(week, name, longer)


def _without_hours(week: Week, *, work: str) -> Week:
    def others(minutes: Mapping[str, float]) -> dict[str, float]:
        return {name: each for name, each in minutes.items() if name != work}

    shop = week.shop
    on = {when: others(minutes) for when, minutes in shop.minutes_on.items()}
    return replace(week, shop=replace(shop, minutes_a_day=others(shop.minutes_a_day), minutes_on=on))


def _without_places(week: Week, *, work: str) -> Week:
    places = {name: each for name, each in week.shop.room.at_once.items() if name != work}
    return replace(week, shop=replace(week.shop, room=replace(week.shop.room, at_once=places)))


def _without_rail(week: Week) -> Week:
    return replace(week, shop=replace(week.shop, rail_mm=None))
