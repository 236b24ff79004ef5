"""The outside check: it passes real plans of every size, and catches a plan that is tampered with."""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Callable
from datetime import timedelta

import pytest

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.measures import Entry, Findings
from gambrel.plan import PlanResult, Week, example_week, read_week, solve_week
from gambrel.plan.check import BadPlan, check_plan
from gambrel.plan.shares import book_shares

Read = Callable[[str], Week]


@pytest.fixture
def small(small_tree: Tree, read: Read, parts: dict[str, str]) -> tuple[Week, PlanResult]:
    order = """
[[order]]
id = "7"
cut = "chuck-roll"
kind = "grain-finished"
weight = "22kg"
by = 2026-03-16
price = "19.00/kg"
"""
    week = read(parts["shop"] + '[hours]\nknife = "3h"\n' + parts["steer"] + parts["counter"] + order)
    return week, solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)


def tampered(plan: PlanResult, what: str) -> PlanResult:
    """The plan with one thing made wrong."""
    side, sale = plan.sides[0], plan.sales[0]
    assert side.day is not None
    move = next(one for one in plan.moves if one.to == "counter")
    rest = plan.sides[1:]
    changes: dict[str, dict[str, object]] = {
        "a side is missing": {"sides": plan.sides[1:]},
        "a side on a closed day": {"sides": (dataclasses.replace(side, day=side.day + timedelta(days=1)), *rest)},
        "a heavier side": {"sides": (dataclasses.replace(side, weight_kg=side.weight_kg + 5), *rest)},
        "another way": {"sides": (dataclasses.replace(side, ways={**side.ways, "forequarter": "whole"}), *rest)},
        "more sold than a step": {"sales": (dataclasses.replace(sale, kg=sale.kg + 50), *plan.sales[1:])},
        "a cent too much": {"sales": (dataclasses.replace(sale, cents=sale.cents + 1), *plan.sales[1:])},
        "meat from nowhere": {"moves": tuple(
            dataclasses.replace(one, kg=one.kg + 1) if one is move else one for one in plan.moves)},
        "an order left": {"moves": tuple(one for one in plan.moves if one.to != "order")},
        "wages forgotten": {"money": dataclasses.replace(plan.money, wages_cents=0)},
        "hauling forgotten": {"money": dataclasses.replace(plan.money, hauling_cents=0)},
        "a bound below the profit": {"bound_cents": plan.profit_cents - 1},
        "trim ground on another day": {"moves": tuple(
            dataclasses.replace(one, ground_on=one.ground_on + timedelta(days=1)) if one.ground_on else one
            for one in plan.moves)},
    }  # fmt: skip
    return dataclasses.replace(plan, **changes[what])  # type: ignore[arg-type]


WRONGS = ("a side is missing", "a side on a closed day", "a heavier side", "another way", "more sold than a step",
          "a cent too much", "meat from nowhere", "an order left", "wages forgotten", "hauling forgotten",
          "a bound below the profit", "trim ground on another day")  # fmt: skip


@pytest.mark.parametrize("what", WRONGS)
def test_a_plan_that_is_tampered_with_is_caught(
    what: str, small: tuple[Week, PlanResult], small_tree: Tree
) -> None:
    week, plan = small
    shares = {hanging.id: book_shares(hanging.animal, small_tree) for hanging in week.animals}
    check_plan(week, small_tree, shares, plan)
    with pytest.raises(BadPlan):
        check_plan(week, small_tree, shares, tampered(plan, what))


def test_the_law_is_looked_at_in_the_check(small_tree: Tree, read: Read, parts: dict[str, str]) -> None:
    text = parts["shop"] + parts["steer"] + parts["counter"].replace("38.00/kg", "90.00/kg")
    plan = solve_week(read(text), tree=small_tree, shares=book_shares, gap=0.0)
    older = read(text.replace("age_months = 18", "age_months = 31"))
    shares = {hanging.id: book_shares(hanging.animal, small_tree) for hanging in older.animals}
    with pytest.raises(BadPlan, match="from an animal it may be sold from"):
        check_plan(older, small_tree, shares, plan)


@pytest.mark.parametrize(("sides", "days", "seed"), [(1, 5, 3), (2, 14, 1), (3, 9, 2)])
def test_example_weeks_are_planned_and_pass(sides: int, days: int, seed: int) -> None:
    week = read_week(Entry(tomllib.loads(example_week(sides=sides, days=days, seed=seed)), "", Findings()))
    plan = solve_week(week, tree=shipped_tree(), gap=0.03, seconds=30)
    assert plan.has_plan
    assert plan.gap <= 0.03
    assert plan.profit_cents <= plan.bound_cents
    assert len(plan.sides) == sides


def test_the_same_seed_gives_the_same_week_and_another_seed_another() -> None:
    assert example_week(sides=5, seed=4) == example_week(sides=5, seed=4)
    assert example_week(sides=5, seed=4) != example_week(sides=5, seed=5)


@pytest.mark.parametrize("sides", [1, 2, 7, 12, 40, 200])
def test_every_example_is_a_valid_week_of_as_many_sides(sides: int) -> None:
    week = read_week(Entry(tomllib.loads(example_week(sides=sides)), "", Findings()))
    assert sum(len(hanging.side_hot_kg) for hanging in week.animals) == sides
    assert week.shop.name == "Cottonwood Bend"
