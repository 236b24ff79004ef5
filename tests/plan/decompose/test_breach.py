"""Promises that clash in a week taken apart: the same smallest breach as in one piece, and named the same."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from gambrel.catalog.ways import Tree
from gambrel.optimize import Row
from gambrel.plan import solve_week
from gambrel.plan.bound import relaxed
from gambrel.plan.decompose import engine
from gambrel.plan.decompose.shared import lay_down_shared
from gambrel.plan.decompose.taken_apart import least_breach
from gambrel.plan.search import Search
from gambrel.plan.shares import book_shares

MakeSearch = Callable[..., Search]

ORDER = """
[[order]]
id = "{name}"
cut = "{cut}"
kind = "grain-finished"
weight = "{kg}kg"
by = 2026-03-20
price = "20.00/kg"
must = true
shelf_days = 14
"""

TOO_MUCH = [
    ORDER.format(name="1", cut="short-ribs", kg=700),
    ORDER.format(name="1", cut="chuck-roll", kg=400) + ORDER.format(name="2", cut="short-ribs", kg=120),
    ORDER.format(name="1", cut="strip-steak", kg=90) + ORDER.format(name="2", cut="t-bone-steak", kg=200),
]


def weighed(breaches: list[tuple[Row, float]]) -> float:
    """The breaches added up, each as a share of what its rule asks for."""
    total = 0.0
    for row, amount in breaches:
        sizes = [abs(side) for side in (row.low, row.high) if math.isfinite(side)]
        total += amount / max([1.0, *sizes])
    return total


def in_one_piece(search: Search) -> float:
    model = search.built(split=True)
    return weighed(relaxed(model.problem).least_breach())


def apart(search: Search) -> list[tuple[Row, float]]:
    model = search.built(split=True, lay_down=lay_down_shared)
    return least_breach(model, seconds_left=lambda: 1e6)


@pytest.mark.parametrize(
    "more", TOO_MUCH, ids=["one order", "two orders of one quarter", "steaks of one loin"]
)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_orders_that_clash_give_way_as_little_as_in_one_piece(
    small_search: MakeSearch, more: str, seed: int
) -> None:
    search = small_search(seed, animals=2, more=more)
    found = apart(search)
    assert found
    assert weighed(found) == pytest.approx(in_one_piece(search), rel=1e-4)
    assert all(row.sentence.startswith("order") for row, _ in found)


@pytest.mark.parametrize("minutes", [5.0, 15.0, 40.0])
@pytest.mark.parametrize("seed", [4, 5])
def test_hours_too_few_are_short_by_as_much_as_in_one_piece(
    small_search: MakeSearch, minutes: float, seed: int
) -> None:
    search = small_search(seed, animals=3, minutes=minutes)
    found = apart(search)
    assert weighed(found) == pytest.approx(in_one_piece(search), rel=1e-4, abs=1e-7)
    for row, amount in found:
        assert "hours on" in row.sentence and amount > 0.0


@pytest.mark.parametrize("sides", [0.5, 1.0, 2.0])
def test_a_rail_too_short_lacks_as_many_metres_as_in_one_piece(
    small_search: MakeSearch, sides: float
) -> None:
    search = small_search(3, animals=2, sides=sides)
    found = apart(search)
    assert weighed(found) == pytest.approx(in_one_piece(search), rel=1e-4)
    assert all("metres of rail" in row.sentence for row, _ in found)


@pytest.mark.parametrize("seed", range(5))
def test_where_every_promise_can_be_kept_nothing_is_broken(small_search: MakeSearch, seed: int) -> None:
    assert apart(small_search(seed, animals=2, minutes=400.0)) == []


def test_sides_without_a_day_are_told_by_how_many(small_search: MakeSearch) -> None:
    search = small_search(1, animals=2)
    bare = replace(search.groups[0], weight_kg={}, must_cut=True)
    search.groups = (bare, *search.groups[1:])
    model = search.built(split=True, lay_down=lay_down_shared)
    ((row, amount),) = least_breach(model, seconds_left=lambda: 1e6)
    assert row.sentence == f"{bare.name} is cut by {bare.latest}"
    assert amount == bare.count
    assert model.marks[model.problem.rows.index(row)] == ("side", bare.name)


def test_time_that_is_up_before_it_is_settled_says_so(small_search: MakeSearch) -> None:
    model = small_search(1, animals=2, more=TOO_MUCH[0]).built(split=True, lay_down=lay_down_shared)
    asked: list[bool] = []

    def left() -> float:
        asked.append(True)
        return -1.0

    try:
        found = least_breach(model, seconds_left=left)
    except TimeoutError:
        found = None
    assert asked
    assert found is None or all(row.soft for row, _ in found), "one turn may be enough to prove it"


@pytest.mark.parametrize("more", TOO_MUCH[:2], ids=["one order", "two orders"])
def test_taken_apart_the_same_orders_are_named(
    small_search: MakeSearch, small_tree: Tree, monkeypatch: pytest.MonkeyPatch, more: str
) -> None:
    week = small_search(2, animals=2, more=more).week
    named = []
    for most in (0, 10**9):
        with monkeypatch.context() as patched:
            patched.setattr(engine, "MANY_DAYS", most)
            plan = solve_week(week, tree=small_tree, shares=book_shares, threads=1)
        assert plan.status == "no-plan"
        named.append({one.where for one in plan.findings if one.where.startswith("order")})
    assert named[0] == named[1] != set()
