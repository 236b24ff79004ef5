"""Why this way and not that one: against plans of the forced week worked out apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from gambrel.catalog.ways import Tree
from gambrel.measures import CannotDo
from gambrel.plan import Pin, PlanResult, Week
from gambrel.plan.questions.compare import comparison_sentences
from gambrel.plan.questions.why import Solver, side_named, why_not_day, why_not_way, worth_between
from gambrel.plan.result import Money

Read = Callable[[str], Week]


@pytest.fixture
def week(read: Read, parts: dict[str, str]) -> Week:
    return read(parts["shop"] + parts["steer"] + parts["counter"])


def ways_of(plan: PlanResult, side: str) -> dict[str, str]:
    return dict(next(one.ways for one in plan.sides if one.id == side))


def other_way(plan: PlanResult, side: str, piece: str) -> str:
    return {"boneless": "bone-in", "bone-in": "boneless", "whole": "boneless"}[ways_of(plan, side)[piece]]


def test_a_whole_animal_forced_is_the_week_with_its_pin(week: Week, small_tree: Tree, solve: Solver) -> None:
    plan = solve(week)
    way = other_way(plan, "C1-left", "forequarter")
    asked = why_not_way(week, plan, side="C1", piece="forequarter", way=way, tree=small_tree, solve=solve)
    pinned = replace(week, animals=(replace(week.animals[0], pin=Pin(None, {"forequarter": way})),))
    assert asked.plan.profit_cents == solve(pinned).profit_cents
    assert asked.worth is not None and asked.worth.cents == asked.plan.profit_cents - plan.profit_cents < 0
    assert {side.ways["forequarter"] for side in asked.plan.sides} == {way}


def test_one_side_forced_leaves_the_other_free_and_keeps_its_name(
    week: Week, small_tree: Tree, solve: Solver
) -> None:
    plan = solve(week)
    asked = why_not_way(
        week, plan, side="C1-left", piece="forequarter", way="whole", tree=small_tree, solve=solve
    )
    assert sorted(side.id for side in asked.plan.sides) == ["C1-left", "C1-right"]
    assert {side.animal for side in asked.plan.sides} == {"C1"}
    assert ways_of(asked.plan, "C1-left")["forequarter"] == "whole"
    assert ways_of(asked.plan, "C1-right")["forequarter"] != "whole"
    assert {name for day in asked.plan.days for name in day.sides} == {"C1-left", "C1-right"}
    both = why_not_way(week, plan, side="C1", piece="forequarter", way="whole", tree=small_tree, solve=solve)
    # A whole forequarter sells nowhere: forcing both is dearer than forcing one.
    assert asked.worth and both.worth and both.worth.cents < asked.worth.cents < 0


def test_the_way_already_taken_costs_nothing(week: Week, small_tree: Tree, solve: Solver) -> None:
    plan = solve(week)
    way = ways_of(plan, "C1-left")["hindquarter"]
    asked = why_not_way(
        week, plan, side="C1-left", piece="hindquarter", way=way, tree=small_tree, solve=solve
    )
    assert asked.worth is not None and abs(asked.worth.cents) <= 1
    assert asked.worth.low_cents <= asked.worth.cents <= asked.worth.high_cents


def test_a_piece_that_does_not_come_about_brings_the_ways_above_it(
    read: Read, parts: dict[str, str], small_tree: Tree, solve: Solver
) -> None:
    dear = parts["counter"].replace('upto = "30kg", price = "38.00/kg"', 'upto = "99kg", price = "99.00/kg"')
    week = read(parts["shop"] + parts["steer"] + dear)
    plan = solve(week)
    assert "strip-loin" not in ways_of(plan, "C1-left"), "T-bones are dear: no strip loin comes about"
    asked = why_not_way(week, plan, side="C1", piece="strip-loin", way="steaks", tree=small_tree, solve=solve)
    assert asked.route == {"side": "quarters", "hindquarter": "boneless"}
    assert {side.ways["strip-loin"] for side in asked.plan.sides} == {"steaks"}
    assert asked.worth is not None and asked.worth.cents < 0
    assert asked.changes is not None
    assert "C1-left: hindquarter goes boneless instead of bone-in" in comparison_sentences(asked.changes)


def test_another_day_is_forced_for_one_side(week: Week, solve: Solver) -> None:
    plan = solve(week)
    day = date(2026, 3, 16)
    asked = why_not_day(week, plan, side="C1-right", day=day, solve=solve)
    days = {side.id: side.day for side in asked.plan.sides}
    assert days["C1-right"] == day
    assert asked.worth is not None and asked.worth.cents <= 0


def test_a_way_that_breaks_a_promise_says_which(
    read: Read, parts: dict[str, str], small_tree: Tree, solve: Solver
) -> None:
    order = ('[[order]]\nid = "17"\ncut = "short-ribs"\nkind = "grain-finished"\nweight = "40kg"\n'
             'by = 2026-03-16\nprice = "25.00/kg"\n')  # fmt: skip
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + order)
    plan = solve(week)
    asked = why_not_way(
        week, plan, side="C1", piece="forequarter", way="boneless", tree=small_tree, solve=solve
    )
    assert asked.worth is None and not asked.plan.has_plan
    assert "order 17" in {finding.where for finding in asked.findings}


@pytest.mark.parametrize(
    ("side", "piece", "way", "wanted"),
    [
        ("C9", "forequarter", "whole", "a side of this week: C1-left, C1-right"),
        ("C1", "forequarter", "sideways", "a way of forequarter: whole; bone-in; boneless"),
        ("C1", "short-ribs", "whole", "a piece that is broken further"),
    ],
)
def test_what_is_not_there_is_a_finding(
    side: str, piece: str, way: str, wanted: str, week: Week, small_tree: Tree, solve: Solver
) -> None:
    plan = solve(week)
    with pytest.raises(CannotDo) as refusal:
        why_not_way(week, plan, side=side, piece=piece, way=way, tree=small_tree, solve=solve)
    assert refusal.value.findings[0].wanted == wanted


def test_a_closed_day_is_refused(week: Week, solve: Solver) -> None:
    with pytest.raises(CannotDo):
        why_not_day(week, solve(week), side="C1-left", day=date(2026, 3, 10), solve=solve)


def test_names_mean_a_side_or_an_animal(week: Week) -> None:
    assert side_named(week, "C1")[1] == ("C1-left", "C1-right")
    assert side_named(week, "C1-right")[1] == ("C1-right",)


def test_the_span_of_a_worth_follows_from_both_bounds() -> None:
    """First plan earns 100 of at most 104, second 110 of at most 111: the best differ by 6 to 11."""
    first = PlanResult("within-gap", 104, 0.04, 0.0, Money(counter_cents=100))
    second = PlanResult("within-gap", 111, 0.01, 0.0, Money(counter_cents=110))
    worth = worth_between(first, second)
    assert (worth.cents, worth.low_cents, worth.high_cents) == (10, 6, 11)
