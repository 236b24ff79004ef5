"""The rules of thumb that the plan is measured against do what their names say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
import rules_of_thumb as thumb

from gambrel.catalog.ways import Tree
from gambrel.plan import Week, solve_week
from gambrel.plan.shares import book_shares

Read = Callable[[str], Week]


@pytest.fixture
def week(read: Read, parts: dict[str, str]) -> Week:
    return read(parts["shop"] + parts["steer"] + parts["counter"])


def test_minutes_are_weight_by_the_trees_own_minutes(small_tree: Tree, week: Week) -> None:
    """100 kg: 4 minutes of saw for the quarters; 50 kg of forequarter boneless 20 of knife and 6 of packer."""
    shares = book_shares(week.animals[0].animal, small_tree)
    ways = {"side": "quarters", "forequarter": "boneless"}
    assert thumb.minutes_of(100.0, ways, shares, small_tree, "cattle") == pytest.approx(
        {"saw": 4.0, "knife": 20.0, "packer": 6.0}
    )


def test_the_longest_hung_goes_first_and_the_next_when_hours_are_left(
    small_tree: Tree, read: Read, parts: dict[str, str]
) -> None:
    """A bone-in forequarter and quartering take some 42 minutes of saw an animal: one a day fits in an hour."""
    older, younger = parts["steer"], parts["steer"].replace("C1", "C2").replace("2026-02-27", "2026-02-28")
    week = read(parts["shop"] + '[hours]\nsaw = "1h"\n' + younger + older + parts["counter"])
    ways = {
        one.id: {"side": "quarters", "forequarter": "bone-in", "hindquarter": "boneless"}
        for one in week.animals
    }
    shares = {one.id: book_shares(one.animal, small_tree) for one in week.animals}
    days = thumb.oldest_first(week, ways, shares, small_tree)
    assert days["C1"] == date(2026, 3, 9)
    assert days["C2"] > days["C1"]
    loose = replace(week, shop=replace(week.shop, minutes_a_day={}))
    assert (
        thumb.oldest_first(loose, ways, shares, small_tree)["C2"]
        == thumb.cutting_days(week.animals[0], week.shop)[0]
    )


def test_an_animal_that_fits_no_day_gets_none(small_tree: Tree, read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + '[hours]\nsaw = "2min"\n' + parts["steer"] + parts["counter"])
    shares = {"C1": book_shares(week.animals[0].animal, small_tree)}
    assert thumb.oldest_first(week, {"C1": {"side": "quarters"}}, shares, small_tree) == {}


def test_the_dearest_way_looks_at_price_alone(small_tree: Tree, read: Read, parts: dict[str, str]) -> None:
    """Hindquarter: 35 % T-bone at $38 beats 20 % strip at $50 less cutting loss; at $10 it does not."""
    cheap = read(parts["shop"] + parts["steer"] + parts["counter"].replace("38.00/kg", "10.00/kg"))
    dear = read(parts["shop"] + parts["steer"] + parts["counter"])
    for week, way in ((dear, "bone-in"), (cheap, "boneless")):
        hanging = week.animals[0]
        chosen = thumb.dearest(week, hanging, small_tree, book_shares(hanging.animal, small_tree))
        assert chosen["hindquarter"] == way


def test_a_leaf_is_worth_its_first_price_a_trim_its_ground_and_the_rest_its_hauling(week: Week) -> None:
    hanging = week.animals[0]
    assert thumb.leaf_worth(week, hanging, "t-bone-steak") == pytest.approx(3800)
    assert thumb.leaf_worth(week, hanging, "trim-85") == pytest.approx(1500)
    assert thumb.leaf_worth(week, hanging, "neck-bones") == pytest.approx(-10)


@pytest.mark.parametrize("rule", thumb.RULES, ids=lambda rule: rule.name)
def test_no_rule_earns_more_than_the_plan(
    rule: thumb.Rule, small_tree: Tree, week: Week, monkeypatch: pytest.MonkeyPatch
) -> None:
    def solve(one: Week) -> object:
        return solve_week(one, tree=small_tree, shares=book_shares, gap=0.0, threads=1)

    monkeypatch.setattr(thumb, "solve", solve)
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)
    if "bone-in" in rule.name or "usual" in rule.name:
        small_tree = replace(small_tree, styles={**small_tree.styles, "bone-in": {
            "forequarter": ("bone-in",), "hindquarter": ("bone-in",)}})  # fmt: skip
    trial = thumb.tried(week, rule, plan, small_tree, book_shares)
    assert trial.extra_pct >= -1e-9
    assert trial.promises_broken == 0 and not trial.days_freed


def test_a_promise_that_the_rule_cannot_keep_is_given_back_and_counted(
    small_tree: Tree, read: Read, parts: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    order = ('[[order]]\nid = "17"\ncut = "short-ribs"\nkind = "grain-finished"\nweight = "20kg"\nby = 2026-03-16\n'
             'price = "25.00/kg"\n')  # fmt: skip
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + order)
    monkeypatch.setattr(
        thumb, "solve", lambda one: solve_week(one, tree=small_tree, shares=book_shares, gap=0.0)
    )
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)
    boneless = next(rule for rule in thumb.RULES if rule.name.startswith("everything boneless"))
    assert thumb.tried(week, boneless, plan, small_tree, book_shares).promises_broken == 1
