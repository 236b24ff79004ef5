"""Weeks with every rule in them, planned in one piece and taken apart: each within the other's bound."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from gambrel.catalog.ways import Tree
from gambrel.measures import Findings
from gambrel.plan import Share, Step, Week, search, solve_week
from gambrel.plan.owners import with_owners
from gambrel.plan.shares import book_shares
from gambrel.plan.week import Freezer, Order, Overtime, Room, Stock

Read = Callable[[str], Week]


def full_week(week: Week, draw: random.Random) -> Week:
    """One animal in shares, one to arrive, one plain; short hours, overtime, one block, stock, a freezer, an order."""
    (first,) = week.animals
    herd = [replace(first, id=f"C{number}", side_hot_kg={"left": kg, "right": kg},
                    killed=first.killed - timedelta(days=draw.randint(0, 4)))
            for number, kg in enumerate(draw.uniform(150.0, 200.0) for _ in range(3))]  # fmt: skip
    herd[1] = replace(herd[1], arrives=week.shop.start + timedelta(days=2))
    roll = week.demands[0]
    frozen = replace(roll, frozen=True, shelf_days=120, kept_cents_per_kg=700.0,
                     steps=(Step(draw.uniform(5.0, 20.0), 1500.0),))  # fmt: skip
    shop = replace(
        week.shop, rail_mm=3000.0, minutes_a_day={"knife": 90.0, "saw": 60.0},
        minutes_on={"fri": {"knife": 150.0}}, overtime=Overtime({"knife": 120.0, "saw": 60.0}, 4000.0),
        room=Room({"knife": 1}, 400.0), freezer=Freezer(25.0, 60.0),
    )  # fmt: skip
    shares = (Share("S1", "C0", 1.0, "Rowan Ash", "boneless", price_cents_per_kg=900.0),)
    animals = with_owners(herd, shares, Findings())
    order = Order("7", "chuck-roll", roll.group, 15.0, shop.start + timedelta(days=7), 1900.0)
    stock = (Stock(roll.slug, roll.group, 12.0, shop.start + timedelta(days=2)),
             Stock(roll.slug, roll.group, 9.0, frozen=True))  # fmt: skip
    return replace(week, shop=shop, animals=animals, demands=(*week.demands, frozen), orders=(order,), stock=stock,
                   shares=shares)  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_a_week_taken_apart_and_one_in_one_piece_agree(
    seed: int, small_tree: Tree, read: Read, parts: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both plans pass the check of their own accord; neither earns more than the other has proven that there is."""
    week = full_week(read(parts["shop"] + parts["steer"] + parts["counter"]), random.Random(seed))
    whole = solve_week(week, tree=small_tree, shares=book_shares, gap=0.01, seconds=30)
    taken_apart: list[object] = []

    def plan_apart(one: search.Search) -> object:
        taken_apart.append(one)
        return in_parts(one)

    in_parts = search.plan_apart
    monkeypatch.setattr(search, "is_large", lambda groups: True)
    monkeypatch.setattr(search, "plan_apart", plan_apart)
    apart = solve_week(week, tree=small_tree, shares=book_shares, gap=0.01, seconds=30)
    assert whole.has_plan and apart.has_plan, (whole.findings, apart.findings)
    assert len(taken_apart) == 1
    assert whole.profit_cents <= apart.bound_cents
    assert apart.profit_cents <= whole.bound_cents
    assert apart.gap <= 0.03
    for plan in (whole, apart):
        assert plan.money.shares_cents > 0 and plan.freezer[0] <= 25.0 + 1e-3
        assert all(
            used <= 210.0 + 1e-3 for day in plan.days for work, used in day.minutes.items() if work == "knife"
        )
