"""Weeks taken apart: small ones of the made-up tree, and a real tree's."""

from __future__ import annotations

import random
import time
import tomllib
from collections.abc import Callable
from dataclasses import replace

import pytest

from gambrel.catalog.ways import Tree, shipped_tree
from gambrel.measures import Entry, Findings
from gambrel.plan import Week, example_week, read_week
from gambrel.plan.decompose.shared import lay_down_shared
from gambrel.plan.decompose.taken_apart import Apart, settle, take_apart
from gambrel.plan.look import with_styles
from gambrel.plan.search import Search
from gambrel.plan.shares import ShareSource, book_shares, forecast_shares
from gambrel.plan.sides import side_groups

MakeSearch = Callable[..., Search]


def search_for(
    week: Week, tree: Tree, shares: ShareSource, *, gap: float = 1e-6, seconds: float = 60.0
) -> Search:
    """A search of the week that has not begun."""
    tree = tree.trimmed(week.shop.trim)
    week = with_styles(week, tree, Findings())
    shares_of = {one.id: shares(one.animal, tree) for one in week.animals}
    groups = side_groups(week, Findings())
    return Search(week, tree, groups, shares_of, gap, time.perf_counter(), seconds, 1)


@pytest.fixture
def settled() -> Callable[[Search], Apart]:
    """The week of a search taken apart, with its prices found."""

    def find(search: Search, close_share: float = 1e-9) -> Apart:
        model = search.built(split=True, lay_down=lay_down_shared)
        apart = take_apart(model, threads=1)
        assert settle(apart, close_share=close_share, seconds_left=lambda: 1e6, told=lambda so_far: None)
        return apart

    return find


def varied(week: Week, draw: random.Random, animals: int) -> Week:
    """The week's animal several times over, of other weights and killed on other days."""
    first = week.animals[0]
    more = []
    for number in range(animals):
        hot_kg = draw.choice((150.0, 165.0, 180.0, 190.0))
        halves = {"left": hot_kg, "right": hot_kg if draw.random() < 0.6 else hot_kg - 3.0}
        killed = first.killed.replace(day=draw.choice((23, 25, 27)))
        more.append(replace(first, id=f"C{number + 1}", killed=killed, side_hot_kg=halves))
    return replace(week, animals=tuple(more))


@pytest.fixture
def small_search(read: Callable[[str], Week], parts: dict[str, str], small_tree: Tree) -> MakeSearch:
    """A search of a small random week: `seed`, `animals`, `minutes` of each work a day, the rail's `sides`."""

    def make(seed: int, *, animals: int = 2, minutes: float | None = None, sides: float | None = None,
             gap: float = 1e-6, more: str = "") -> Search:  # fmt: skip
        week = read(parts["shop"] + parts["steer"] + parts["counter"] + more)
        week = varied(week, random.Random(seed), animals)
        shop = week.shop
        if minutes is not None:
            shop = replace(shop, minutes_a_day=dict.fromkeys(("knife", "saw", "packer"), minutes))
        if sides is not None:
            shop = replace(shop, rail_mm=sides * shop.rail_per_side_mm)
        return search_for(replace(week, shop=shop), small_tree, book_shares, gap=gap)

    return make


@pytest.fixture(scope="session")
def real_week() -> Week:
    text = example_week(sides=5, days=9, seed=3)
    return read_week(Entry(tomllib.loads(text), "", Findings()))


@pytest.fixture
def real_search(real_week: Week) -> Search:
    """A search of five sides of the shipped tree."""
    return search_for(real_week, shipped_tree(), forecast_shares)
