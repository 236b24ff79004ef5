"""Animals still to arrive: they take up rail from their day, and are not cut before it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from gambrel.catalog.ways import Tree
from gambrel.measures import CannotDo
from gambrel.plan import Week
from gambrel.plan.check import BadPlan, check_plan
from gambrel.plan.questions.week_changes import week_changes
from gambrel.plan.questions.why import Solver
from gambrel.plan.shares import book_shares

Read = Callable[[str], Week]

WED = date(2026, 3, 11)
FRI = date(2026, 3, 13)


def herd(read: Read, parts: dict[str, str], *, rail: str, arrives: str = "") -> Week:
    """C1 is here; C2, of the same kill, comes later. Both are ready from the first Monday on."""
    shop = parts["shop"].replace('rail = "6m"', f'rail = "{rail}"')
    steer = parts["steer"] + "hang_days = [10, 12, 24]\n"
    second = steer.replace('id = "C1"', 'id = "C2"') + arrives
    return read(shop + steer + second + parts["counter"])


def test_a_side_hangs_from_the_day_it_arrives(read: Read, parts: dict[str, str], solve: Solver) -> None:
    """Room for two sides of 0.6 m: the four fit only where the first two are cut before the others come."""
    assert solve(herd(read, parts, rail="1.2m")).status == "no-plan"
    plan = solve(herd(read, parts, rail="1.2m", arrives=f"arrives = {FRI}\n"))
    by_animal = {
        side.animal: [one.day for one in plan.sides if one.animal == side.animal] for side in plan.sides
    }
    assert all(day is not None and day < FRI for day in by_animal["C1"])
    assert all(day is None or day >= FRI for day in by_animal["C2"])
    rail = {row.day: row.rail_m for row in plan.days}
    assert rail[date(2026, 3, 9)] == pytest.approx(1.2)
    assert max(rail.values()) == pytest.approx(1.2)
    assert rail[FRI] == pytest.approx(1.2), "those that arrive count on the day they come"


@pytest.mark.parametrize(("arrives", "first"), [("", date(2026, 3, 9)), (f"arrives = {WED}\n", WED),
                                                ("arrives = 2026-03-12\n", FRI)])  # fmt: skip
def test_nothing_is_cut_before_it_is_here(
    arrives: str, first: date, read: Read, parts: dict[str, str], solve: Solver
) -> None:
    """Overdue already (10 days at most, killed ten days before Monday): it goes on the first day that it can."""
    text = parts["shop"] + parts["steer"] + f"hang_days = [8, 9, 10]\n{arrives}" + parts["counter"]
    plan = solve(read(text))
    assert {side.day for side in plan.sides} == {first}
    assert bool(plan.findings) == bool(arrives), "that it is late is told"


def test_the_check_knows_who_is_here(
    read: Read, parts: dict[str, str], solve: Solver, small_tree: Tree
) -> None:
    week = herd(read, parts, rail="6m")
    plan = solve(week)
    shares = {one.id: book_shares(one.animal, small_tree) for one in week.animals}
    last = max(side.day for side in plan.sides if side.day is not None)
    late = replace(week, animals=tuple(replace(one, arrives=last) for one in week.animals))
    with pytest.raises(BadPlan, match=r"not cut before it is here|rail on"):
        check_plan(late, small_tree, shares, plan)
    told = {change.of: change for change in week_changes(week, late)}
    assert f"arrives {last}" in (told["C1"].after or "")


@pytest.mark.parametrize("wrong", ["2026-02-20", "2027-03-12", '"soon"', "12"])
def test_an_arrival_before_the_kill_is_a_slip(wrong: str, read: Read, parts: dict[str, str]) -> None:
    with pytest.raises(CannotDo) as refused:
        read(parts["shop"] + parts["steer"] + f"arrives = {wrong}\n")
    assert [finding.where for finding in refused.value.findings] == ["animal C1, arrives"]


def test_a_pin_before_the_arrival_is_a_slip(read: Read, parts: dict[str, str], solve: Solver) -> None:
    text = parts["shop"] + parts["steer"] + f"arrives = {FRI}\npin = {{ day = {WED} }}\n" + parts["counter"]
    with pytest.raises(CannotDo) as refused:
        solve(read(text))
    assert "animal C1, pin day" in {finding.where for finding in refused.value.findings}
