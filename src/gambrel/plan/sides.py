"""Sides that are alike, the days they may be cut on, and what they weigh on each of those days.

The two sides of one animal that weigh the same are one group: the plan counts how many of them go which way, so
that it need not look at the same plan twice with left and right changed over.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from gambrel.hang.window import Window, ready_window
from gambrel.measures import CannotDo, Findings
from gambrel.plan.week import Hanging, Shop, Week


@dataclass(frozen=True, slots=True)
class SideGroup:
    """Alike sides of one animal; `weight_kg` is of one side, by cutting day.

    `must_cut`: the latest day lies inside the plan. `end_kg` is the weight of one side still hanging after it.
    """

    number: int
    hanging: Hanging
    halves: tuple[str, ...]
    weight_kg: Mapping[date, float]
    target: date
    latest: date
    must_cut: bool
    end_kg: float

    @property
    def count(self) -> int:
        return len(self.halves)

    @property
    def days(self) -> tuple[date, ...]:
        return tuple(self.weight_kg)

    @property
    def name(self) -> str:
        """How people call it: B1 for both sides, B1-left for one."""
        both = len(self.halves) == len(self.hanging.side_hot_kg) > 1
        return self.hanging.id if both else self.hanging.side_id(self.halves[0])


def side_groups(week: Week, findings: Findings) -> tuple[SideGroup, ...]:
    """Every side of the week in a group of its like; a slip in a pin or the days on the rail is a finding."""
    groups: list[SideGroup] = []
    for hanging in week.animals:
        alike: list[tuple[float, Hanging, list[str]]] = []
        for half, hot_kg in hanging.side_hot_kg.items():
            as_cut = hanging.of_side(half)
            same = next(
                (ones for kg, other, ones in alike if kg == hot_kg and other.share == as_cut.share), None
            )
            if same is None:
                alike.append((hot_kg, as_cut, [half]))
            else:
                same.append(half)
        for hot_kg, as_cut, halves in alike:
            groups.append(_group(len(groups), as_cut, tuple(halves), hot_kg, week.shop, findings))
    return tuple(groups)


def cutting_days(hanging: Hanging, shop: Shop) -> tuple[date, ...]:
    """Days of the plan on which the animal may be cut: its pinned day, or the cutting days of its window.

    A side that is overdue, or whose window holds no cutting day, may go on the first cutting day after it. Nothing
    is cut before it arrives.
    """
    open_days = [
        day for day in shop.calendar() if shop.is_cutting_day(day) and day >= (hanging.arrives or day)
    ]
    if hanging.pin.day is not None:
        return (hanging.pin.day,) if hanging.pin.day in open_days else ()
    window = window_of(hanging)
    within = tuple(day for day in open_days if window.earliest <= day <= window.latest)
    if within or window.latest > shop.end:
        return within
    return tuple(day for day in open_days if day > window.latest)[:1]


def window_of(hanging: Hanging) -> Window:
    """When it is ready; a side in shares is late after the day its owners were promised."""
    window = ready_window(hanging.kind, hanging.killed, hang_days=hanging.hang_days)
    by = hanging.share.by if hanging.share else None
    return window if by is None else replace(window, latest=max(window.earliest, min(window.latest, by)))


def must_be_cut(hanging: Hanging, shop: Shop) -> bool:
    """Whether the animal may not hang on beyond the plan: its latest day is inside it, or its day is pinned."""
    window = window_of(hanging)
    return hanging.pin.day is not None or window.latest <= shop.end


def side_weight_kg(hanging: Hanging, hot_kg: float, day: date) -> float:
    """Expected weight of a side of `hot_kg` hot on `day`; `CannotDo` beyond the days the loss figures cover."""
    model = hanging.loss(hot_kg)
    return hot_kg * model.remaining_mean(float(max(0, (day - hanging.killed).days)))


def window_notes(week: Week) -> Findings:
    """What a person should know of the days: sides overdue, or with no cutting day in their window."""
    notes = Findings()
    for hanging in [as_cut for one in week.animals for as_cut in _cut_alike(one)]:
        window = window_of(hanging)
        days = cutting_days(hanging, week.shop)
        if days and hanging.pin.day is None and days[0] > window.latest:
            notes.add(f"animal {hanging.id}", f"latest day {window.latest}", "a cutting day inside its window",
                      f"It is planned for {days[0]}, late: look at it, trim it well, or cut it before.")  # fmt: skip
        if days and hanging.pin.day is not None and window.says(days[0]) != "ready":
            notes.add(f"animal {hanging.id}, pin", f"{days[0]}, which is {window.says(days[0])}",
                      f"{window.earliest} to {window.latest}",
                      "The pinned day was kept; move it if it was a slip.")  # fmt: skip
    return notes


def _cut_alike(hanging: Hanging) -> list[Hanging]:
    """The animal as its sides are cut: once, and once more for each set of owners."""
    found: list[Hanging] = []
    for half in hanging.side_hot_kg:
        as_cut = hanging.of_side(half)
        if all(as_cut.share != other.share for other in found):
            found.append(as_cut)
    return found


def _group(
    number: int, hanging: Hanging, halves: tuple[str, ...], hot_kg: float, shop: Shop, findings: Findings
) -> SideGroup:
    window = window_of(hanging)
    days = cutting_days(hanging, shop)
    pinned = hanging.pin.day
    if pinned is not None and (not days or pinned < hanging.on_rail_from):
        findings.add(f"animal {hanging.id}, pin day", pinned,
                     f"a cutting day of the plan ({shop.start} to {shop.end}) after the kill and the day it arrives",
                     "Move the pin.")  # fmt: skip
    by = hanging.share.by if hanging.share else None
    if by is not None and not any(day <= by for day in days):
        findings.add(f"side {hanging.side_id(halves[0])}, by", by, "a cutting day once it is ready and here",
                     "Agree with its owners on a later day.")  # fmt: skip
    must = must_be_cut(hanging, shop)
    weights: dict[date, float] = {}
    end_kg = 0.0
    try:
        weights = {day: side_weight_kg(hanging, hot_kg, day) for day in days}
        if not must:
            end_kg = side_weight_kg(hanging, hot_kg, shop.end + timedelta(days=1))
    except CannotDo as refusal:
        for one in refusal.findings:
            findings.add(f"animal {hanging.id}, {one.where}", one.given, one.wanted, one.do)
    return SideGroup(number, hanging, halves, weights, window.target, window.latest, must, end_kg)
