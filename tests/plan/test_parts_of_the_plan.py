"""The pieces the plan is made of: groups of sides, lots and buyers, places, bound, binding, the page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.measures import Findings
from gambrel.plan import Week, solve_week
from gambrel.plan.bound import bound_of, relaxed
from gambrel.plan.market import Origin, buyers_of, keeps_until, lots_of
from gambrel.plan.model import build, walk_of
from gambrel.plan.rules import RULES, lay_down
from gambrel.plan.shares import book_shares, forecast_shares
from gambrel.plan.sides import cutting_days, side_groups
from gambrel.plan.tell import product_lines, to_json

Read = Callable[[str], Week]
CORN = Origin("grain-finished", frozenset(("grain-finished",)), "federal")


def test_alike_sides_are_one_group_and_unlike_ones_two(read: Read, parts: dict[str, str]) -> None:
    findings = Findings()
    (both,) = side_groups(read(parts["shop"] + parts["steer"]), findings)
    assert (both.name, both.count) == ("C1", 2)
    apart = parts["steer"].replace('hot = "360kg"', 'hot_left = "178kg"\nhot_right = "182kg"')
    left, right = side_groups(read(parts["shop"] + apart), findings)
    assert (left.name, right.name) == ("C1-left", "C1-right")
    assert not findings


def test_cutting_days_lie_in_the_window(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"])
    days = cutting_days(week.animals[0], week.shop)
    # Killed on 27 February, 10 to 21 days: 9 to 20 March; Monday, Wednesday, Friday.
    assert days == tuple(date(2026, 3, day) for day in (9, 11, 13, 16, 18, 20))


def test_meat_is_sold_in_the_weeks_it_keeps(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    roll = week.demands[0]  # keeps 6 days; the second week starts on 16 March
    assert not keeps_until(week.shop, roll, date(2026, 3, 9), 2)
    assert keeps_until(week.shop, roll, date(2026, 3, 10), 2)
    assert not keeps_until(week.shop, roll, date(2026, 3, 16), 1)


def test_days_that_serve_the_same_buyers_are_one_lot(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    made = [(CORN, "chuck-roll", date(2026, 3, day)) for day in (9, 11, 13, 16, 18)]
    lots = lots_of(week, made)
    assert [lot.days for lot in lots] == [
        (date(2026, 3, 9),), (date(2026, 3, 11), date(2026, 3, 13)), (date(2026, 3, 16), date(2026, 3, 18)),
    ]  # fmt: skip
    assert buyers_of(week, CORN, "trim-85", date(2026, 3, 9)).ground == (len(week.demands) - 1,)


def test_every_rule_is_a_function_with_a_sentence_for_a_name() -> None:
    for rule in RULES:
        assert rule.__name__.count("_") >= 3
        assert any(sign in (rule.__doc__ or "") for sign in ("=", "<=", ">="))


def test_the_split_week_bounds_the_whole_one_and_losses_are_not_negative(
    small_tree: Tree, read: Read, parts: dict[str, str]
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    groups = side_groups(week, Findings())
    options = tuple(walk_of(week, small_tree, group.hanging, book_shares(group.hanging.animal, small_tree))
                    .options(pool_all=True) for group in groups)  # fmt: skip
    model = build(week, groups, options)
    lay_down(model, split=True)
    bound = bound_of(model, relaxed(model.problem).solve())
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)
    assert plan.profit_cents <= bound.gain_cents + 25
    assert all(loss >= 0.0 for by in bound.losses[0].by_way.values() for loss in by)
    assert bound.losses[0].least_share["forequarter"] == pytest.approx(0.5)


def test_shares_of_the_forecast_balance_for_every_way() -> None:
    tree = shipped_tree()
    from gambrel.catalog.animal import Animal
    from gambrel.catalog.kinds import shipped_kinds

    animal = Animal(kind=shipped_kinds()["bison"], sex="bull", hot_kg=310.0, age_months=26)
    for (piece, way), shares in forecast_shares(animal, tree).items():
        assert sum(shares.values()) == pytest.approx(1.0), (piece, way)


def test_a_sold_out_step_is_worth_its_price_less_what_the_meat_brings_otherwise(
    small_tree: Tree, read: Read, parts: dict[str, str]
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)
    by_rule = {one.rule: one.worth_cents for one in plan.binding}
    surplus = {one.slug for one in plan.surplus}
    checked = 0
    for demand in week.demands:
        for number in (1, 2):
            price = f"{demand.steps[-1].price_cents_per_kg / 100:.2f} a kg in week {number} is sold out"
            worth = next((cents for rule, cents in by_rule.items()
                          if rule.startswith(f"{demand.name} at ") and rule.endswith(price)), None)  # fmt: skip
            if worth is not None and demand.slug in surplus and not demand.salvage_cents_per_kg:
                # What is over is hauled away at 10 cents a kg, so one kg more wanted brings its price and saves that.
                assert worth == pytest.approx(demand.steps[-1].price_cents_per_kg + 10.0, rel=1e-6)
                checked += 1
    assert checked > 0


def test_one_hour_more_is_worth_what_planning_the_grinding_anew_brings(
    small_tree: Tree, read: Read, parts: dict[str, str]
) -> None:
    def with_grinder(minutes: float) -> int:
        shop = parts["shop"] + f'[hours]\ngrinder = "{minutes}min"\n'
        ways = 'forequarter = "boneless", hindquarter = "boneless", strip-loin = "steaks"'
        pin = f"pin = {{ day = 2026-03-13, ways = {{ {ways} }} }}\n"
        plan = solve_week(
            read(shop + parts["steer"] + pin + parts["counter"]), tree=small_tree, shares=book_shares, gap=0.0
        )
        worth.append(
            {one.rule: one.worth_cents for one in plan.binding}.get("grinder hours on Fri 2026-03-13", 0.0)
        )
        return plan.profit_cents

    worth: list[float] = []
    few, more = with_grinder(4.0), with_grinder(5.0)
    assert worth[0] > 0
    assert more - few == pytest.approx(worth[0] / 60.0, abs=6)


def test_the_json_adds_up(small_tree: Tree, read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)
    told = to_json(week, plan)
    assert told["profit"] == plan.profit_cents / 100
    assert told["profit_cents"] == sum(told["money_cents"].values())
    revenue = sum(line.revenue_cents for line in product_lines(week, plan))
    assert revenue == plan.money.counter_cents + plan.money.orders_cents + plan.money.surplus_cents
    assert {
        "profit",
        "bound",
        "gap",
        "seconds",
        "status",
        "sides",
        "products",
        "binding",
        "findings",
    } <= told.keys()
    for line in product_lines(week, plan):
        assert line.made_kg > 0
