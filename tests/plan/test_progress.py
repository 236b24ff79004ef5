"""A plan on its way: what is told, that it can be stopped, and what is answered then."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import replace

import pytest

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.measures import Entry, Findings
from gambrel.plan import PlanResult, Progress, Week, example_week, read_week, search, solve_week
from gambrel.plan.bound import dearest_cents
from gambrel.plan.lawful import lawful_names
from gambrel.plan.likely import likely_ways
from gambrel.plan.shares import book_shares, forecast_shares
from gambrel.plan.sides import side_groups
from gambrel.plan.week import Hanging

Read = Callable[[str], Week]


@pytest.fixture(scope="module")
def busy_week() -> Week:
    return read_week(Entry(tomllib.loads(example_week(sides=4, days=7, seed=4)), "", Findings()))


@pytest.fixture(scope="module")
def watched(busy_week: Week) -> tuple[PlanResult, list[Progress]]:
    told: list[Progress] = []
    return solve_week(busy_week, gap=0.02, progress=told.append), told


def test_profit_and_bound_are_told_and_never_get_worse(watched: tuple[PlanResult, list[Progress]]) -> None:
    plan, told = watched
    profits = [one.profit_cents for one in told if one.profit_cents is not None]
    bounds = [one.bound_cents for one in told if one.bound_cents is not None]
    assert len(profits) >= 2, "a first plan and a better one"
    assert profits == sorted(profits)
    assert bounds == sorted(bounds, reverse=True)
    assert [one.seconds for one in told] == sorted(one.seconds for one in told)
    # The search counts nudges towards the target day and no rounding of money: a few cents either way.
    assert profits[-1] == pytest.approx(plan.profit_cents, abs=100)
    assert bounds[-1] == pytest.approx(plan.bound_cents, abs=100)
    assert all(bound >= plan.profit_cents - 100 for bound in bounds)


def test_the_first_plan_comes_before_anything_is_proven(watched: tuple[PlanResult, list[Progress]]) -> None:
    _, told = watched
    assert told[0].bound_cents is None
    assert told[0].profit_cents is not None


def test_a_stop_after_the_first_plan_gives_that_plan_with_a_bound_that_holds(
    busy_week: Week, watched: tuple[PlanResult, list[Progress]]
) -> None:
    best, _ = watched
    told: list[Progress] = []
    plan = solve_week(busy_week, gap=0.0, progress=told.append, stop=lambda: bool(told))
    assert plan.has_plan
    assert plan.status == "time-limit"
    assert plan.profit_cents <= best.bound_cents
    assert plan.bound_cents >= best.profit_cents
    assert plan.gap == pytest.approx((plan.bound_cents - plan.profit_cents) / plan.profit_cents)


def test_a_stop_in_the_middle_keeps_the_better_plan(
    busy_week: Week, watched: tuple[PlanResult, list[Progress]]
) -> None:
    best, _ = watched
    told: list[Progress] = []
    plan = solve_week(busy_week, gap=0.0, progress=told.append,
                      stop=lambda: any(one.bound_cents is not None for one in told[:-1]))  # fmt: skip
    assert plan.profit_cents >= max(one.profit_cents or 0 for one in told) - 100
    assert best.profit_cents <= plan.bound_cents


def test_a_stop_before_any_plan_says_so(small_tree: Tree, read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    plan = solve_week(week, tree=small_tree, shares=book_shares, stop=lambda: True)
    assert not plan.has_plan
    assert plan.status == "time-limit"
    assert "stopped" in plan.findings[-1].given


def test_no_plan_earns_more_than_every_kilogram_at_the_dearest_price(
    busy_week: Week, watched: tuple[PlanResult, list[Progress]]
) -> None:
    plan, _ = watched
    assert dearest_cents(busy_week, side_groups(busy_week, Findings())) >= plan.bound_cents


def test_likely_ways_keep_what_the_entry_allows_and_what_promises_need(
    small_tree: Tree, read: Read, parts: dict[str, str]
) -> None:
    order = (
        '[[order]]\nid = "1"\ncut = "short-ribs"\nkind = "grain-finished"\nweight = "5kg"\nby = 2026-03-16\n'
        'price = "20.00/kg"\n'
    )
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + order)
    (steer,) = week.animals
    shares = book_shares(steer.animal, small_tree)
    kept = likely_ways(steer, week, small_tree, shares).ways_allowed
    assert "bone-in" in kept["forequarter"], "short ribs come from nothing else"
    assert len(kept["hindquarter"]) == 1
    barred = replace(steer, ways_forbidden={"hindquarter": kept["hindquarter"]})
    (other,) = likely_ways(barred, week, small_tree, shares).ways_allowed["hindquarter"]
    assert other not in kept["hindquarter"]


def test_likely_ways_take_the_dearer_of_two_worked_out_by_hand(
    small_tree: Tree, read: Read, parts: dict[str, str]
) -> None:
    """Bone-in: 0.35 x 38 + 0.40 x 9 + trim; boneless: 0.20 x 50 (steaks 0.85) + 0.40 x 9 + trim: bone-in is dearer."""
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    (steer,) = week.animals
    kept = likely_ways(steer, week, small_tree, book_shares(steer.animal, small_tree)).ways_allowed
    assert kept["hindquarter"] == ("bone-in",)


def test_a_tree_without_demand_for_anything_still_has_likely_ways() -> None:
    text = example_week(sides=2, days=7, seed=1)
    week = read_week(Entry(tomllib.loads(text), "", Findings()))
    bare = replace(week, demands=(), orders=())
    tree = shipped_tree()
    one = bare.animals[0]
    kept = likely_ways(one, bare, tree, book_shares(one.animal, tree)).ways_allowed
    assert kept and all(names for names in kept.values())


def test_likely_ways_are_lawful_ones_wherever_the_law_leaves_any() -> None:
    """A bison that counts as older may not be broken over its backbone: a likely way that the law shuts is no way."""
    text = example_week(sides=24, days=14, seed=1)
    week = read_week(Entry(tomllib.loads(text), "", Findings()))
    tree = shipped_tree().trimmed(week.shop.trim)
    shut = 0
    for one in week.animals:
        lawful = lawful_names(tree, one, week.shop)
        kept = likely_ways(one, week, tree, forecast_shares(one.animal, tree)).ways_allowed
        for piece, names in kept.items():
            open_by_law = lawful.get(piece, names)
            shut += len(set(tree.ways_of(piece, one.animal.species)) - set(open_by_law))
            assert not open_by_law or set(names) <= set(open_by_law), (one.id, piece)
    assert shut > 0, "the law shuts some way for some animal"


@pytest.mark.parametrize("sides", [6, 120])
def test_a_week_that_is_large_for_its_time_is_not_built_to_the_end(
    monkeypatch: pytest.MonkeyPatch, sides: int
) -> None:
    """Once the time is up no further animal is walked through: what was begun is left, whatever the size."""
    week = read_week(Entry(tomllib.loads(example_week(sides=sides, days=14, seed=1)), "", Findings()))
    walked: list[str] = []
    walk = search.walk_of

    def counted(week: Week, tree: Tree, hanging: Hanging, *rest: object, **more: object) -> object:
        walked.append(hanging.id)
        return walk(week, tree, hanging, *rest, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(search, "walk_of", counted)
    plan = solve_week(week, shares=book_shares, gap=0.0, stop=lambda: len(walked) >= 2)
    assert not plan.has_plan and plan.status == "time-limit"
    assert "stopped" in plan.findings[-1].given
    assert len(walked) == 2


def test_outside_a_search_a_model_is_built_whatever_the_time(busy_week: Week) -> None:
    tree = shipped_tree().trimmed(busy_week.shop.trim)
    shares_of = {one.id: book_shares(one.animal, tree) for one in busy_week.animals}
    late = search.Search(busy_week, tree, side_groups(busy_week, Findings()), shares_of, 0.01, 0.0, 0.0, 1)
    assert late.seconds_left < 0.0
    assert late.built(split=True).problem.gains
