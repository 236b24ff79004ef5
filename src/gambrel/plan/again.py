"""Planning again begins with the last plan, as far as its days and ways are open; what is new goes as is likely."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from gambrel.plan.decompose import only_ways
from gambrel.plan.likely import likely_ways
from gambrel.plan.pinned import own_side_id
from gambrel.plan.result import SidePlan
from gambrel.plan.search import FIRST_GAP, FIRST_SECONDS, Search, near_target
from gambrel.plan.sides import SideGroup
from gambrel.plan.week import Hanging


def begin_with(search: Search, last: Iterable[SidePlan]) -> None:
    """Give `search` the plan `last`, or the best there is of its days and ways; none where that breaks a promise.

    Sides are known by their own names. A side that is new, or whose day is gone, may go on the day nearest its target.
    """
    old = {side.id: side for side in last}
    mine: dict[int, list[SidePlan]] = {}
    for group in search.groups:
        names = {half: own_side_id(group.hanging, half) for half in group.halves}
        mine[group.number] = [replace(old[name], id=group.hanging.side_id(half))
                              for half, name in names.items() if name in old]  # fmt: skip
    if not any(mine.values()):
        return
    if all(_stands(group, mine[group.number]) for group in search.groups):
        search.keep_sides(tuple(side for sides in mine.values() for side in sides))
    if search.model is None:
        _of_its_days_and_ways(search, mine)


def _stands(group: SideGroup, sides: list[SidePlan]) -> bool:
    """Whether each side of the group was planned, for a day that it may still be cut on."""
    open_days = {*group.days} if group.must_cut else {*group.days, None}
    return len(sides) == group.count and all(side.day in open_days for side in sides)


def _of_its_days_and_ways(search: Search, mine: dict[int, list[SidePlan]]) -> None:
    of_animal: dict[tuple[str, bool], list[SidePlan]] = {}
    for group in search.groups:
        of_animal.setdefault(_named(group.hanging), []).extend(mine[group.number])

    def narrowed(hanging: Hanging) -> Hanging:
        ways = [
            _still_open(search, hanging, side) for side in of_animal[_named(hanging)] if side.day is not None
        ]
        if ways:
            return only_ways(hanging, ways)
        return likely_ways(hanging, search.week, search.tree, search.shares_of[hanging.id])

    groups = tuple(_on_last_days(group, mine[group.number]) for group in search.groups)
    model = search.built(groups=groups, narrowed=narrowed)
    answer = model.problem.solve(
        gap=FIRST_GAP, seconds=min(FIRST_SECONDS, max(0.1, search.seconds_left)), threads=search.threads,
        watch=search.watch(math.inf),
    )  # fmt: skip
    search.keep(model, answer.values, answer.objective)


def _named(hanging: Hanging) -> tuple[str, bool]:
    return hanging.id, hanging.share is not None


def _still_open(search: Search, hanging: Hanging, side: SidePlan) -> dict[str, str]:
    """The ways of the last plan that are there, and not forbidden, still."""
    allowed, forbidden = hanging.ways_allowed, hanging.ways_forbidden
    return {piece: way for piece, way in side.ways.items()
            if way in search.tree.ways_of(piece, hanging.animal.species)
            and way in allowed.get(piece, (way,)) and way not in forbidden.get(piece, ())}  # fmt: skip


def _on_last_days(group: SideGroup, sides: list[SidePlan]) -> SideGroup:
    """The group with the days of the last plan alone, and the nearest to its target where a side has none of them."""
    days = {side.day for side in sides if side.day in group.days}
    if not _stands(group, sides):
        days |= set(near_target(group, 1).days)
    return replace(group, weight_kg={day: kg for day, kg in group.weight_kg.items() if day in days})
