"""A plan tried on draws: against the plan itself without spread, and against probabilities worked by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import LOSS, Tree, shipped_tree
from gambrel.plan import Hanging, PlanResult, SidePlan, Week, example_week, solve_week
from gambrel.plan.questions.draws import SideDraws, SideSource, draw_made, forecast_source
from gambrel.plan.questions.recourse import sell
from gambrel.plan.questions.tried import try_plan
from gambrel.plan.shares import book_shares

Read = Callable[[str], Week]

ORDER = """
[[order]]
id = "17"
cut = "{cut}"
kind = "grain-finished"
weight = "{kg}kg"
by = 2026-03-16
price = "21.00/kg"
must = true
"""


STOCK = """
[[demand]]
cut = "chuck-roll"
kind = "grain-finished"
frozen = true
kept = "7.00/kg"
steps = [{ upto = "5kg", price = "17.00/kg" }]

[[stock]]
cut = "chuck-roll"
kind = "grain-finished"
weight = "30kg"
use_by = 2026-03-11

[[stock]]
cut = "chuck-roll"
kind = "grain-finished"
weight = "8kg"
frozen = true

[freezer]
holds = "25kg"
cost = "0.50/kg"

[overtime]
knife = "1h"
"""


def book_source(tree: Tree, factor: Callable[[int, int], np.ndarray]) -> SideSource:
    """Sides that cut out by the tree's own shares and their mean weight, all of it times a factor a draw."""

    def source(hanging: Hanging, side: SidePlan, draws: int, seed: int) -> SideDraws:
        assert side.day is not None
        left = hanging.loss(180.0).remaining_mean(float((side.day - hanging.killed).days))
        times = left * factor(draws, seed)
        at_hand, minutes = {"side": times}, {}
        for piece, name in _parents_first(side, tree):
            way = tree.ways[piece][name]
            for work, each in way.minutes_per_100kg.items():
                minutes[work] = minutes.get(work, 0.0) + at_hand[piece] * each / 100.0
            if way.is_whole:
                continue
            whole = at_hand.pop(piece)
            for slug, share in way.shares.items():
                if slug != LOSS:
                    at_hand[slug] = at_hand.get(slug, 0.0) + whole * share
        return SideDraws(at_hand, minutes)

    return source


def _parents_first(side: SidePlan, tree: Tree) -> list[tuple[str, str]]:
    order = ["side", "forequarter", "hindquarter", "strip-loin", "trim-fat"]
    return [(piece, side.ways[piece]) for piece in order if piece in side.ways]


def solved(week: Week, tree: Tree) -> PlanResult:
    return solve_week(week, tree=tree, shares=book_shares, gap=0.0)


def no_spread(draws: int, seed: int) -> np.ndarray:
    return np.ones(draws)


@pytest.mark.parametrize(
    "order", ["", STOCK, ORDER.format(cut="short-ribs", kg=20), ORDER.format(cut="top-round", kg=15)]
)
def test_without_spread_the_try_earns_what_the_plan_says(
    order: str, read: Read, parts: dict[str, str], small_tree: Tree
) -> None:
    week = read(parts["shop"] + '[hours]\nknife = "{}"\n'.format("100min" if order == STOCK else "3h")
                + parts["steer"] + parts["counter"] + order)  # fmt: skip
    plan = solved(week, small_tree)
    tried = try_plan(week, plan, book_source(small_tree, no_spread), draws=3)
    lines = len(plan.sales) + len(plan.filled) + len(plan.surplus) + 2 * len(plan.days) + 1
    assert all(abs(cents - plan.profit_cents) <= 0.5 * lines + 1 for cents in tried.profit_cents)
    assert tried.all_kept_share == 1.0
    assert tried.run_over_min == pytest.approx(0.0, abs=1e-6)


def test_a_promise_of_all_that_the_mean_gives_is_kept_half_the_time(
    read: Read, parts: dict[str, str], small_tree: Tree
) -> None:
    """Yields are normal about the mean: asking just for the mean is kept when the draw is above it, 1 in 2."""
    steer = (
        parts["steer"] + 'sides = ["left"]\npin = { day = 2026-03-13, ways = { forequarter = "bone-in" } }\n'
    )
    week = read(parts["shop"] + steer + parts["counter"])
    left_kg = 180.0 * week.animals[0].loss(180.0).remaining_mean(14.0)
    promised = read(parts["shop"] + steer + parts["counter"]
                    + ORDER.format(cut="short-ribs", kg=round(left_kg * 0.15 - 0.005, 3)))  # fmt: skip

    def normal(draws: int, seed: int) -> np.ndarray:
        return 1.0 + 0.05 * np.random.default_rng(seed).standard_normal(draws)

    tried = try_plan(promised, solved(promised, small_tree), book_source(small_tree, normal), draws=4000)
    (one,) = tried.promises
    # Ten grams of grace and five of rounding are a tenth of a standard deviation (0.05 x 25.6 kg): 0.5 to 0.51.
    assert one.kept_share == pytest.approx(0.505, abs=3 * math.sqrt(0.25 / 4000))
    # Where it falls short it lacks the half-normal mean, 0.798 of the standard deviation.
    assert one.short_kg == pytest.approx(0.798 * 0.05 * left_kg * 0.15, rel=0.08)
    assert tried.all_kept_share == one.kept_share


@pytest.mark.parametrize(("z", "kept"), [(1.0, 0.841), (1.645, 0.95), (-1.0, 0.159)])
def test_how_often_a_promise_is_kept_follows_the_normal_table(
    z: float, kept: float, read: Read, parts: dict[str, str], small_tree: Tree
) -> None:
    steer = (
        parts["steer"] + 'sides = ["left"]\npin = { day = 2026-03-13, ways = { forequarter = "bone-in" } }\n'
    )
    week = read(parts["shop"] + steer + parts["counter"])
    mean_kg = 180.0 * week.animals[0].loss(180.0).remaining_mean(14.0) * 0.15
    asked = read(parts["shop"] + steer + parts["counter"] + ORDER.format(cut="short-ribs", kg=10))
    plan = solved(asked, small_tree)
    # The draws' mean is moved so that the 10 kg lie z standard deviations below it.
    middle = 10.0 / (1.0 - 0.05 * z) / mean_kg

    def normal(draws: int, seed: int) -> np.ndarray:
        return middle * (1.0 + 0.05 * np.random.default_rng(seed).standard_normal(draws))

    tried = try_plan(asked, plan, book_source(small_tree, normal), draws=4000, seed=5)
    assert tried.promises[0].kept_share == pytest.approx(kept, abs=0.025)


def test_what_is_over_goes_to_the_next_step_and_what_is_short_is_not_sold(
    read: Read, parts: dict[str, str], small_tree: Tree
) -> None:
    """T-bones only: 30 kg at $38.00 a week, hauled away at $0.10 beyond; two draws of a tenth less and more."""
    steer = parts["steer"] + 'pin = { day = 2026-03-13, ways = { hindquarter = "bone-in" } }\n'
    steps = '[{ upto = "{}kg", price = "38/kg" }, { upto = "{}kg", price = "20/kg" }]'
    demand = f'[[demand]]\ncut = "t-bone-steak"\nkind = "grain-finished"\nsteps = {steps}\nshelf_days = 1\n'
    probe = read(parts["shop"] + steer + demand.replace("{}", "30", 1).replace("{}", "40"))
    kg = 2 * 180.0 * probe.animals[0].loss(180.0).remaining_mean(14.0) * 0.48 * 0.35
    week = read(
        parts["shop"] + steer + demand.replace("{}", f"{kg:.3f}", 1).replace("{}", f"{kg * 1.05:.3f}")
    )
    plan = solved(week, small_tree)

    def two(draws: int, seed: int) -> np.ndarray:
        return np.array([0.9, 1.1])

    selling = sell(week, plan, draw_made(week, plan, book_source(small_tree, two), draws=2, seed=1))
    (sold,) = [kg for cell, kg in selling.sold_kg.items() if cell == (0, 1)]
    assert sold == pytest.approx([0.9 * kg, 1.05 * kg], rel=1e-4)
    tried = try_plan(week, plan, book_source(small_tree, two), draws=2)
    low, high = tried.edges_cents[0], tried.edges_cents[-1]
    # Ten parts less at $38.00; five parts more at $20.00 and five hauled away; wages and the rest move with it too.
    base = plan.money.counter_cents
    assert base == pytest.approx(kg * 3800, abs=2)
    assert low < plan.profit_cents - 0.09 * base
    assert plan.profit_cents + kg * 0.04 * 2000 < high < plan.profit_cents + kg * 0.05 * 2000


def test_orders_come_before_the_counter(read: Read, parts: dict[str, str], small_tree: Tree) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + ORDER.format(cut="top-round", kg=30))
    plan = solved(week, small_tree)

    def poor(draws: int, seed: int) -> np.ndarray:
        return np.full(draws, 0.6)

    made = draw_made(week, plan, book_source(small_tree, poor), draws=1, seed=1)
    selling = sell(week, plan, made)
    assert selling.filled_kg[0] == pytest.approx([30.0])
    round_kg = sum(float(kg[0]) for (_, slug, _), kg in made.meat_kg.items() if slug == "top-round")
    demand = next(n for n, one in enumerate(week.demands) if one.slug == "top-round")
    sold = sum(float(kg[0]) for (number, _), kg in selling.sold_kg.items() if number == demand)
    left = sum(float(kg[0]) for (_, slug, _), kg in selling.stock.items() if slug == "top-round")
    assert 30.0 + sold + left == pytest.approx(round_kg)


def test_ground_stays_as_lean_as_its_name_when_the_fat_trim_is_over(
    read: Read, parts: dict[str, str], small_tree: Tree
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    plan = solved(week, small_tree)

    def fat(hanging: Hanging, side: SidePlan, draws: int, seed: int) -> SideDraws:
        one = book_source(small_tree, no_spread)(hanging, side, draws, seed)
        kg = {slug: each * (1.6 if slug == "trim-65" else 0.7 if slug == "trim-85" else 1.0)
              for slug, each in one.kg.items()}  # fmt: skip
        return SideDraws(kg, one.minutes)

    made = draw_made(week, plan, fat, draws=1, seed=1)
    selling = sell(week, plan, made)
    trims = {slug: sum(float(kg[0]) for (_, name, _), kg in made.meat_kg.items() if name == slug)
             for slug in ("trim-85", "trim-65")}  # fmt: skip
    left = {
        slug: sum(float(kg[0]) for (_, name, _), kg in selling.stock.items() if name == slug)
        for slug in trims
    }
    used = {slug: trims[slug] - left[slug] for slug in trims}
    assert float(selling.ground_kg[0]) == pytest.approx(sum(used.values())) and used["trim-85"] > 0
    assert 85 * used["trim-85"] + 65 * used["trim-65"] >= 80 * sum(used.values()) - 1e-6


def test_every_kilogram_made_is_sold_ordered_ground_or_left(
    read: Read, parts: dict[str, str], small_tree: Tree
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + ORDER.format(cut="short-ribs", kg=20))
    plan = solved(week, small_tree)

    def spread(draws: int, seed: int) -> np.ndarray:
        return np.random.default_rng(seed).uniform(0.7, 1.3, draws)

    made = draw_made(week, plan, book_source(small_tree, spread), draws=50, seed=3)
    selling = sell(week, plan, made)
    out = sum(selling.sold_kg.values()) + sum(selling.filled_kg.values()) + sum(selling.stock.values())
    assert out == pytest.approx(sum(made.meat_kg.values()), rel=1e-9)


def test_the_same_seed_gives_the_same_try_and_another_seed_another() -> None:
    import tomllib

    from gambrel.measures import Entry, Findings
    from gambrel.plan import read_week

    week = read_week(Entry(tomllib.loads(example_week(sides=3, days=7, seed=3)), "", Findings()))
    tree = shipped_tree()
    plan = solve_week(week, tree=tree, gap=0.02)
    source = forecast_source(tree.trimmed(week.shop.trim), shipped_cuts())
    one, again, other = (try_plan(week, plan, source, draws=100, seed=seed) for seed in (1, 1, 2))
    assert one == again != other
    low, middle, high = one.profit_cents
    assert low < middle < high
    assert sum(one.bars) == 100 and len(one.edges_cents) == len(one.bars) + 1
    # The plan is for the mean: the middle of the draws lies near it (the forecast's own spread is wide).
    assert middle == pytest.approx(plan.profit_cents, rel=0.1)
