"""Promises kept with a given probability, where the probability can be worked by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from gambrel.catalog.ways import LOSS, Tree
from gambrel.plan import Hanging, SidePlan, Week
from gambrel.plan.questions.draws import SideDraws, SideSource
from gambrel.plan.questions.safety import SafePlan, solve_safely
from gambrel.plan.questions.tried import try_plan
from gambrel.plan.questions.why import Solver

Read = Callable[[str], Week]

SD = 0.05
ORDER = """
[[order]]
id = "17"
cut = "short-ribs"
kind = "grain-finished"
weight = "{kg}kg"
by = 2026-03-16
price = "21.00/kg"
"""


@pytest.fixture
def source(small_tree: Tree) -> SideSource:
    """Every share as in the tree, the whole side times a normal factor of mean 1 and standard deviation 0.05."""

    def drawn(hanging: Hanging, side: SidePlan, draws: int, seed: int) -> SideDraws:
        assert side.day is not None
        left = hanging.loss(180.0).remaining_mean(float((side.day - hanging.killed).days))
        factor = 1.0 + SD * np.random.default_rng(seed).standard_normal(draws)
        at_hand = {"side": left * factor}
        for piece in ("side", "forequarter", "hindquarter", "strip-loin", "trim-fat"):
            way = small_tree.ways.get(piece, {}).get(side.ways.get(piece, "whole"))
            if piece in at_hand and way is not None and not way.is_whole:
                whole = at_hand.pop(piece)
                for slug, share in way.shares.items():
                    if slug != LOSS:
                        at_hand[slug] = at_hand.get(slug, 0.0) + whole * share
        return SideDraws(at_hand, {})

    return drawn


def mean_of_one_side_kg(week: Week, plan: SafePlan) -> float:
    """Short ribs of one forequarter broken bone-in: 15 % of the side, by the mean."""
    day = next(side.day for side in plan.plan.sides if side.ways["forequarter"] == "bone-in")
    assert day is not None
    hanging = week.animals[0]
    return 0.15 * 180.0 * hanging.loss(180.0).remaining_mean(float((day - hanging.killed).days))


def normal_share_above(z: float) -> float:
    """Chance that a standard normal lies above z."""
    return 0.5 * math.erfc(z / math.sqrt(2.0))


def bone_in(plan: SafePlan) -> int:
    return sum(side.ways["forequarter"] == "bone-in" for side in plan.plan.sides)


@pytest.fixture
def week(read: Read, parts: dict[str, str]) -> Week:
    """Boneless is what earns: one forequarter is broken bone-in only for the order of 25 kg of short ribs."""
    counter = parts["counter"].replace('"12kg", price = "22.00/kg"', '"1kg", price = "2.00/kg"')
    counter = counter.replace('"25kg", price = "18.00/kg"', '"25kg", price = "1.00/kg"')
    return read(parts["shop"] + parts["steer"] + counter + ORDER.format(kg=25))


def test_for_the_mean_one_side_is_enough_and_the_promise_is_kept_as_often_as_the_normal_says(
    week: Week, solve: Solver, source: SideSource
) -> None:
    loose = solve_safely(week, solve(week), safety_share=0.5, solve=solve, source=source, draws=4000)
    assert bone_in(loose) == 1 and loose.reserve_kg == {} and loose.costs_cents == 0
    z = (24.99 / mean_of_one_side_kg(week, loose) - 1.0) / SD
    chance = normal_share_above(z)
    assert 0.6 < chance < 0.85, "the case is made so that the mean's plan breaks the promise now and then"
    assert loose.tried.promises[0].kept_share == pytest.approx(chance, abs=0.025)


def test_a_safer_promise_takes_the_second_side_and_holds_on_independent_draws(
    week: Week, solve: Solver, source: SideSource
) -> None:
    safe = solve_safely(week, solve(week), safety_share=0.9, solve=solve, source=source)
    assert safe.is_safe and bone_in(safe) == 2
    assert safe.reserve_kg["17"] > 0
    # Two sides give twice the mean: the promise lies ten standard deviations below it.
    independent = try_plan(week, safe.plan, source, draws=5000, seed=991)
    assert independent.promises[0].kept_share == 1.0
    assert safe.costs_cents > 0


def test_what_safety_costs_is_the_difference_of_the_two_plans(
    week: Week, solve: Solver, source: SideSource
) -> None:
    first = solve(week)
    safe = solve_safely(week, solve(week), safety_share=0.9, solve=solve, source=source)
    assert safe.costs_cents == first.profit_cents - safe.plan.profit_cents
    assert safe.plan.bound_cents == first.bound_cents
    assert safe.plan.gap == pytest.approx(
        (first.bound_cents - safe.plan.profit_cents) / safe.plan.profit_cents
    )
    assert [one.order for one in safe.plan.filled] == [0], "the reserve is no order of the week"


def test_more_safety_never_earns_more(week: Week, solve: Solver, source: SideSource) -> None:
    profits = [
        solve_safely(week, solve(week), safety_share=p, solve=solve, source=source).plan.profit_cents
        for p in (0.5, 0.8, 0.95)
    ]
    assert profits == sorted(profits, reverse=True)


def test_a_promise_that_takes_everything_cannot_be_made_safe_and_says_so(
    read: Read, parts: dict[str, str], solve: Solver, source: SideSource
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + ORDER.format(kg=51))
    risky = solve_safely(week, solve(week), safety_share=0.95, solve=solve, source=source)
    assert not risky.is_safe
    assert risky.findings[0].where == "order 17"
    assert risky.findings[0].wanted == "51.0 kg of short-ribs kept in 95%"
    assert risky.plan.has_plan, "the plan for the mean is still given"


def test_an_order_that_may_be_left_is_not_made_safe(
    read: Read, parts: dict[str, str], solve: Solver, source: SideSource
) -> None:
    order = ORDER.format(kg=25) + "must = false\n"
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + order)
    found = solve_safely(week, solve(week), safety_share=0.99, solve=solve, source=source)
    assert found.reserve_kg == {} and found.is_safe
