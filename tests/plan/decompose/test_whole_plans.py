"""Plans of whole sides out of a week taken apart: lawful, near the best there is, and honest about how near."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.plan import PlanResult, Progress, Week, solve_week
from gambrel.plan.decompose import engine
from gambrel.plan.decompose.master import Cutting
from gambrel.plan.decompose.mend import losses, mend
from gambrel.plan.decompose.sides import only_days, only_ways, sides_of_cuttings
from gambrel.plan.decompose.taken_apart import Apart
from gambrel.plan.decompose.whole import Dive
from gambrel.plan.search import Search
from gambrel.plan.shares import book_shares
from gambrel.plan.week import Pin

MakeSearch = Callable[..., Search]
Settled = Callable[..., Apart]


@pytest.fixture
def always_apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """However small, a week is taken apart."""
    monkeypatch.setattr(engine, "MANY_DAYS", 0)


def both_ways(
    week: Week, tree: Tree, monkeypatch: pytest.MonkeyPatch, gap: float
) -> tuple[PlanResult, PlanResult]:
    """The plan of a week taken apart, and in one piece."""
    with monkeypatch.context() as apart:
        apart.setattr(engine, "MANY_DAYS", 0)
        first = solve_week(week, tree=tree, shares=book_shares, gap=gap, threads=1)
    with monkeypatch.context() as whole:
        whole.setattr(engine, "MANY_DAYS", 10**9)
        return first, solve_week(week, tree=tree, shares=book_shares, gap=gap, threads=1)


@pytest.mark.parametrize("seed", range(8))
def test_taken_apart_a_week_earns_what_it_earns_in_one_piece(
    small_search: MakeSearch, small_tree: Tree, monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    """Both to a gap of nothing: the two proofs hold each other to account, and both say no plan or neither does."""
    draw = random.Random(seed)
    week = small_search(seed, animals=draw.choice((1, 2)), minutes=draw.choice((None, 200.0, 320.0)),
                        sides=draw.choice((None, 4.0))).week  # fmt: skip
    apart, whole = both_ways(week, small_tree, monkeypatch, 0.0)
    assert apart.has_plan == whole.has_plan
    if apart.has_plan:
        assert apart.profit_cents == pytest.approx(whole.profit_cents, abs=60 + 1e-5 * whole.profit_cents)
        assert apart.profit_cents <= whole.bound_cents
        assert whole.profit_cents <= apart.bound_cents


@pytest.mark.parametrize("gap", [0.05, 0.01, 0.001])
def test_the_gap_asked_for_is_proven(
    small_search: MakeSearch, small_tree: Tree, monkeypatch: pytest.MonkeyPatch, gap: float
) -> None:
    week = small_search(7, animals=3, minutes=300.0).week
    apart, whole = both_ways(week, small_tree, monkeypatch, gap)
    assert apart.has_plan
    assert apart.gap <= gap + 1e-9
    assert apart.profit_cents >= whole.profit_cents * (1.0 - gap) - 100
    assert apart.bound_cents >= whole.profit_cents


@pytest.mark.usefixtures("always_apart")
def test_a_real_week_is_planned_told_and_checked(real_week: Week) -> None:
    """`solve_week` puts every plan before the checker that knows nothing of the model."""
    told: list[Progress] = []
    plan = solve_week(real_week, gap=0.05, threads=1, progress=told.append)
    assert plan.has_plan and plan.gap <= 0.05
    assert len(plan.sides) == 5
    bounds = [one.bound_cents for one in told if one.bound_cents is not None]
    profits = [one.profit_cents for one in told if one.profit_cents is not None]
    assert bounds == sorted(bounds, reverse=True) and profits == sorted(profits)
    # Nudges towards the target day and the rounding of money are a few cents either way.
    assert bounds[-1] >= plan.profit_cents - 100


@pytest.mark.usefixtures("always_apart")
def test_pins_of_day_and_way_are_kept(small_search: MakeSearch, small_tree: Tree) -> None:
    week = small_search(2, animals=2).week
    pin = Pin(date(2026, 3, 11), {"forequarter": "bone-in"})
    week = replace(week, animals=(replace(week.animals[0], pin=pin), *week.animals[1:]))
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.01, threads=1)
    pinned = [side for side in plan.sides if side.animal == week.animals[0].id]
    assert len(pinned) == 2
    assert {side.day for side in pinned} == {date(2026, 3, 11)}
    assert {side.ways["forequarter"] for side in pinned} == {"bone-in"}


ORDER = """
[[order]]
id = "1"
cut = "{cut}"
kind = "grain-finished"
weight = "{kg}kg"
by = 2026-03-20
price = "{price}/kg"
must = {must}
shelf_days = 14
"""


@pytest.mark.usefixtures("always_apart")
@pytest.mark.parametrize(("kg", "taken"), [(20, True), (900, False)])
def test_an_order_that_may_be_left_is_taken_whole_or_not_at_all(
    small_search: MakeSearch, small_tree: Tree, kg: int, taken: bool
) -> None:
    order = ORDER.format(cut="short-ribs", kg=kg, price="90.00", must="false")
    plan = solve_week(small_search(4, animals=2, more=order).week, tree=small_tree, shares=book_shares,
                      gap=0.005, threads=1)  # fmt: skip
    assert [one.kg for one in plan.filled] == ([pytest.approx(20.0)] if taken else [])


@pytest.mark.usefixtures("always_apart")
def test_an_order_that_must_be_met_bends_the_plan(small_search: MakeSearch, small_tree: Tree) -> None:
    """Short ribs come from one way alone, and cheap as they are sold here nobody would take it for their sake."""
    order = ORDER.format(cut="short-ribs", kg=60, price="0.10", must="true")
    plan = solve_week(small_search(4, animals=2, more=order).week, tree=small_tree, shares=book_shares,
                      gap=0.005, threads=1)  # fmt: skip
    assert plan.has_plan
    assert plan.filled[0].kg == pytest.approx(60.0)
    assert "bone-in" in {side.ways["forequarter"] for side in plan.sides if side.day is not None}


@pytest.mark.usefixtures("always_apart")
def test_a_promise_nobody_can_keep_is_named(small_search: MakeSearch, small_tree: Tree) -> None:
    order = ORDER.format(cut="short-ribs", kg=900, price="20.00", must="true")
    plan = solve_week(
        small_search(4, animals=2, more=order).week, tree=small_tree, shares=book_shares, threads=1
    )
    assert plan.status == "no-plan"
    assert any(one.where == "order 1" for one in plan.findings)


@pytest.mark.usefixtures("always_apart")
def test_a_stop_in_the_middle_keeps_the_plan_and_a_bound_that_holds(real_week: Week) -> None:
    best = solve_week(real_week, gap=0.05, threads=1)
    told: list[Progress] = []

    def stop() -> bool:
        return any(one.profit_cents is not None for one in told)

    plan = solve_week(real_week, gap=0.0, threads=1, progress=told.append, stop=stop)
    assert plan.has_plan and plan.status == "time-limit"
    assert plan.bound_cents >= best.profit_cents
    assert plan.profit_cents <= best.bound_cents


def dived(apart: Apart) -> Dive:
    dive = Dive(apart, lambda: 1e6)
    dive.run()
    assert not dive.left.any()
    return dive


@pytest.mark.parametrize("seed", range(6))
def test_every_side_is_settled_and_what_is_pooled_goes_one_way(
    small_search: MakeSearch, settled: Settled, seed: int
) -> None:
    search = small_search(seed, animals=3, minutes=320.0)
    dive = dived(settled(search))
    of_group: dict[int, list[Cutting]] = {}
    for cutting, much in dive.cuttings():
        of_group.setdefault(cutting.group, []).extend([cutting] * much)
    for group in search.groups:
        mine = of_group[group.number]
        assert len(mine) == group.count
        for one in mine:
            assert one.day in (*group.days, None)
            fat = {dict(other.pooled).get("trim-fat") for other in mine} - {None}
            assert len(fat) <= 1
    sides = sides_of_cuttings(dive.apart.model, dive.cuttings())
    for side, group in zip(sides, [one for one in search.groups for _ in one.halves], strict=True):
        assert side.animal == group.hanging.id
        assert side.day is None or side.weight_kg == group.weight_kg[side.day]


def test_sides_of_one_animal_suit_when_what_both_have_goes_one_way() -> None:
    from gambrel.optimize import Column

    nothing = Column(0.0, *([], []))  # type: ignore[arg-type]
    fat_whole = Cutting(0, date(2026, 3, 11), (1,), (("trim-fat", 7),), nothing)
    fat_rendered = Cutting(0, date(2026, 3, 13), (1,), (("trim-fat", 8),), nothing)
    no_fat = Cutting(0, date(2026, 3, 13), (2,), (), nothing)
    assert fat_whole.suits(fat_whole) and fat_whole.suits(no_fat) and no_fat.suits(fat_rendered)
    assert not fat_whole.suits(fat_rendered) and not fat_rendered.suits(fat_whole)


@pytest.mark.parametrize("seed", range(4))
def test_mending_never_makes_it_worse_and_losses_explain_the_gap(
    small_search: MakeSearch, settled: Settled, seed: int
) -> None:
    dive = dived(settled(small_search(20 + seed, animals=4, minutes=300.0)))
    before, kept = dive.gain_cents, dive.kept
    assert (losses(dive) >= -1e-4).all(), "no cutting brings more than the best at the bound's prices"
    assert losses(dive).sum() <= dive.apart.bound_cents - before + 1e-3, "the rest is lost at the counter"
    mend(dive, good_enough=lambda so_far: False)
    assert not dive.left.any()
    assert dive.kept or not kept
    assert dive.gain_cents >= before - 1e-6
    assert dive.gain_cents <= dive.apart.bound_cents + 1e-6 * abs(before)


def test_opened_again_and_put_back_a_plan_earns_what_it_did(
    small_search: MakeSearch, settled: Settled
) -> None:
    dive = dived(settled(small_search(11, animals=3, minutes=300.0)))
    taken, gain_cents = dict(dive.taken), dive.gain_cents
    dive.open_again([0, 1])
    assert dive.left[0] == dive.apart.model.groups[0].count
    assert dive.gain_cents >= gain_cents - 1e-6, "less is settled, and so no less is earned"
    dive.restore(taken)
    assert not dive.left.any()
    assert dive.gain_cents == pytest.approx(gain_cents, abs=1e-4)


def test_a_model_of_no_other_days_and_ways(small_search: MakeSearch) -> None:
    search = small_search(1, animals=1)
    group = search.groups[0]
    last = group.days[-1]
    assert only_days(group, {last, None}).days == (last,)
    kept = only_ways(
        group.hanging, [{"forequarter": "whole"}, {"forequarter": "boneless", "hindquarter": "bone-in"}]
    )
    assert kept.ways_allowed == {"forequarter": ("whole", "boneless"), "hindquarter": ("bone-in",)}


def test_large_is_counted_in_sides_and_days(real_week: Week, real_search: Search) -> None:
    assert not engine.is_large(real_search.groups)
    many = real_search.groups * 40
    assert engine.is_large(many)
    assert len(real_week.animals) == 3
    assert shipped_tree().ways, "the tree that the weeks above are cut by"


@pytest.mark.usefixtures("always_apart")
def test_where_no_dive_comes_to_a_plan_it_is_looked_for_among_the_best_ways(
    small_search: MakeSearch, small_tree: Tree, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Hours so scarce that sides settled one by one may leave the last without any: the plan is found all the same."""
    monkeypatch.setattr(Dive, "run", lambda dive: False)
    week = small_search(3, animals=1, minutes=300.0).week
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.01, threads=1)
    assert plan.has_plan and plan.gap <= 0.01
