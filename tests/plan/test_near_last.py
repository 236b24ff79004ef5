"""Planned again from the last plan: little change for little gain, and all the change that pays."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from gambrel.catalog.ways import Tree
from gambrel.cli.plan import command
from gambrel.plan import Demand, PlanResult, Step, Week, example_week, solve_week
from gambrel.plan.questions.near_last import near_last
from gambrel.plan.questions.why import Solver
from gambrel.plan.search import Progress
from gambrel.plan.shares import book_shares

Read = Callable[[str], Week]


@pytest.fixture
def base(read: Read, parts: dict[str, str]) -> Week:
    """Two animals over two weeks, room to choose days and ways."""
    second = parts["steer"].replace('"C1"', '"C2"').replace("2026-02-27", "2026-02-25")
    return read(parts["shop"] + parts["steer"] + second + parts["counter"])


def cut_as(plan: PlanResult) -> dict[str, tuple[object, dict[str, str]]]:
    return {side.id: (side.day, dict(side.ways)) for side in plan.sides}


def at_prices(week: Week, factor_of: Callable[[str], float]) -> Week:
    """The same week with other prices, by cut."""

    def steps(one: Demand) -> tuple[Step, ...]:
        return tuple(Step(step.upto_kg, step.price_cents_per_kg * factor_of(one.slug)) for step in one.steps)

    return replace(week, demands=tuple(replace(one, steps=steps(one)) for one in week.demands))


def dearer(week: Week, slug: str, factor: float) -> Week:
    return at_prices(week, lambda one: factor if one == slug else 1.0)


def test_the_same_week_stays_as_it_is(base: Week, solve: Solver) -> None:
    last = solve(base)
    near = near_last(base, solve(base), last.sides, solve, least_cents=0)
    assert cut_as(near.plan) == cut_as(last) and near.costs_cents == 0


def test_a_change_that_pays_is_made_and_one_that_does_not_is_left(base: Week, solve: Solver) -> None:
    """T-bones at 1.00 go boneless; at 90.00 the hindquarters turn, worth hundreds: kept only at a price as high."""
    last = solve(dearer(base, "t-bone-steak", 1 / 38))
    now = dearer(base, "t-bone-steak", 90 / 38)
    best = solve(now)
    changed = [name for name, cut in cut_as(best).items() if cut != cut_as(last)[name]]
    assert changed
    for least_cents in (0, 500):
        near = near_last(now, best, last.sides, solve, least_cents=least_cents)
        assert near.costs_cents <= least_cents * len(near.put_back)
        assert len(near.put_back) < len(changed), "what earns hundreds is changed"
    stubborn = near_last(now, best, last.sides, solve, least_cents=1_000_000)
    assert cut_as(stubborn.plan) == cut_as(last)
    assert sorted(stubborn.put_back) == sorted(changed)
    assert stubborn.costs_cents == best.profit_cents - stubborn.plan.profit_cents > 0
    assert stubborn.plan.bound_cents == best.bound_cents


@pytest.mark.parametrize("seed", range(5))
def test_what_is_put_back_never_costs_more_than_was_said(seed: int, base: Week, solve: Solver) -> None:
    draw = random.Random(seed)
    last = solve(at_prices(base, lambda _: draw.uniform(0.6, 1.5)))
    now = at_prices(base, lambda _: draw.uniform(0.6, 1.5))
    best = solve(now)
    for least_cents in (0.0, 300.0, 5_000.0):
        near = near_last(now, best, last.sides, solve, least_cents=least_cents)
        assert near.plan.profit_cents >= best.profit_cents - least_cents * len(near.put_back)
        assert all(cut_as(near.plan)[name] == cut_as(last)[name] for name in near.put_back)
        assert near.plan.bound_cents >= best.profit_cents


def test_a_day_that_is_closed_now_is_not_gone_back_to(base: Week, solve: Solver) -> None:
    last = solve(base)
    closed = {f"{side.day:%a}".lower() for side in last.sides if side.day is not None}
    open_days = tuple(day for day in ("mon", "tue", "wed", "thu", "fri") if day not in closed)
    now = replace(base, shop=replace(base.shop, cutting_days=open_days))
    best = solve(now)
    near = near_last(now, best, last.sides, solve, least_cents=1_000_000)
    assert near.put_back == () and cut_as(near.plan) == cut_as(best)


def test_a_side_that_is_gone_and_one_that_is_new_are_no_changes(base: Week, solve: Solver) -> None:
    last = solve(replace(base, animals=base.animals[:1]))
    now = replace(base, animals=(base.animals[0], replace(base.animals[1], id="C9")))
    near = near_last(now, solve(now), last.sides, solve, least_cents=1_000_000)
    assert set(near.put_back) <= {"C1-left", "C1-right"}
    gone = near_last(replace(now, animals=now.animals[1:]), solve(replace(now, animals=now.animals[1:])), last.sides,
                     solve, least_cents=1_000_000)  # fmt: skip
    assert gone.put_back == ()


def test_a_way_the_law_has_shut_is_not_gone_back_to(base: Week, small_tree: Tree) -> None:
    """Settled ways that are not open any more are refused, and left changed."""

    def solve(week: Week) -> PlanResult:
        return solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)

    last = solve(base)
    ways = {**last.sides[0].ways, "forequarter": "in cubes"}
    odd = tuple(replace(side, ways=ways) if side is last.sides[0] else side for side in last.sides)
    near = near_last(base, solve(base), odd, solve, least_cents=1_000_000)
    assert last.sides[0].id not in near.put_back


@pytest.mark.parametrize("later", [0, 1])
def test_the_command_keeps_the_last_plan(later: int, tmp_path: Path) -> None:
    week, old = tmp_path / "week.toml", tmp_path / "old.json"
    text = example_week(sides=2, days=7, seed=3)
    week.write_text(text, "utf-8")
    first = CliRunner().invoke(command, [str(week), "--json", "--gap", "0.02"])
    old.write_text(first.output, "utf-8")
    week.write_text(
        text.replace('waste = "0.06/lb"', 'waste = "0.07/lb"' if later else 'waste = "0.06/lb"'), "utf-8"
    )
    again = CliRunner().invoke(
        command, [str(week), "--json", "--gap", "0.02", "--last", str(old), "--keep-last", "$50"]
    )
    assert again.exit_code == 0, again.output
    told = json.loads(again.output)
    assert [(one["id"], one["day"], one["ways"]) for one in told["sides"]] == [
        (one["id"], one["day"], one["ways"]) for one in json.loads(first.output)["sides"]
    ]
    assert told["kept_as_last"]["costs_cents"] <= 5_000 * max(1, len(told["kept_as_last"]["sides"]))


def test_keeping_a_last_plan_asks_for_one(tmp_path: Path) -> None:
    week = tmp_path / "week.toml"
    week.write_text(example_week(sides=1, days=5), "utf-8")
    refused = CliRunner().invoke(command, [str(week), "--keep-last", "$5"])
    assert refused.exit_code == 1 and "--last OLD.json" in refused.output


def test_the_search_begins_with_the_last_plan(base: Week, small_tree: Tree) -> None:
    """Stopped at once, planning again gives the last plan; what is told first is what it earns in the new week."""
    last = solve_week(base, tree=small_tree, shares=book_shares, gap=0.0)
    seen: list[int] = []

    def progress(so_far: Progress) -> None:
        if so_far.profit_cents is not None:
            seen.append(so_far.profit_cents)

    plan = solve_week(base, tree=small_tree, shares=book_shares, gap=0.0, start=last.sides, progress=progress,
                      stop=lambda: bool(seen))  # fmt: skip
    assert cut_as(plan) == cut_as(last)
    assert plan.profit_cents == last.profit_cents and seen[0] == pytest.approx(last.profit_cents, abs=40)
    assert plan.bound_cents >= plan.profit_cents


@pytest.mark.parametrize("seed", range(3))
def test_beginning_with_any_plan_ends_with_the_best(
    seed: int, base: Week, small_tree: Tree, solve: Solver
) -> None:
    """The last plan may be of other prices, other animals, closed days, or nonsense: the best is found all the same."""
    draw = random.Random(seed)
    last = solve(at_prices(base, lambda _: draw.uniform(0.4, 2.0))).sides
    odd = (
        replace(last[0], ways={**last[0].ways, "hindquarter": "in cubes"}),
        replace(last[1], day=base.shop.start + timedelta(days=300)),
        replace(last[2], id="C7-left"),
    )
    best = solve(base)
    for start in (last, odd, last[:1]):
        again = solve_week(base, tree=small_tree, shares=book_shares, gap=0.0, start=start)
        assert again.profit_cents == pytest.approx(best.profit_cents, abs=60)
        assert again.bound_cents >= best.profit_cents - 60
