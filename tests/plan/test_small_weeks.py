"""Small weeks against every plan there is: each combination of days and ways, sold by an independent solver."""

from __future__ import annotations

import dataclasses
import itertools
import random
from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta

import numpy as np
import pytest
from scipy.optimize import linprog

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import LOSS, Tree
from gambrel.hang.loss import LossModel
from gambrel.plan import Step, Week, solve_week
from gambrel.plan.shares import book_shares

Made = dict[tuple[str, date], float]


def every_way(tree: Tree, pieces: Mapping[str, float], chosen: Mapping[str, str]) -> Iterator[dict[str, str]]:
    """Every full set of ways for one side; a piece is broken one way."""
    piece = next((one for one in pieces if one in tree.ways and one not in chosen), None)
    if piece is None:
        yield dict(chosen)
        return
    for name, way in tree.ways[piece].items():
        below = dict(pieces)
        for slug in way.outputs:
            below[slug] = 1.0
        yield from every_way(tree, below, {**chosen, piece: name})


def cut(tree: Tree, ways: Mapping[str, str], side_kg: float) -> tuple[dict[str, float], float]:
    """Leaves in kilograms and minutes of work."""
    pieces, minutes = {"side": side_kg}, 0.0
    for piece in ("side", "forequarter", "hindquarter", "strip-loin", "trim-fat"):
        if piece not in ways or piece not in pieces:
            continue
        way = tree.ways[piece][ways[piece]]
        kg = pieces[piece]
        minutes += kg * sum(way.minutes_per_100kg.values()) / 100.0
        if not way.is_whole:
            del pieces[piece]
            for slug, share in way.shares.items():
                if slug != LOSS:
                    pieces[slug] = pieces.get(slug, 0.0) + kg * share
    return pieces, minutes


def best_sale(week: Week, made: Made) -> float | None:
    """The most that what was made can bring, in cents, trims blended; None when an order cannot be met."""
    columns: list[tuple[float, float]] = []  # gain, upper limit
    equal: list[tuple[dict[int, float], float]] = []
    upper: list[tuple[dict[int, float], float]] = []

    def column(gain: float, limit: float = np.inf) -> int:
        columns.append((gain, limit))
        return len(columns) - 1

    shop = week.shop
    sold: dict[tuple[int, int], dict[int, float]] = {}
    ordered: dict[int, dict[int, float]] = {number: {} for number in range(len(week.orders))}
    made_rows = {key: ({}, kg) for key, kg in made.items()}
    per_kg = sum(shop.grinding.minutes_per_100kg.values()) / 100 * shop.wage_cents_per_hour / 60
    for demand in week.demands:
        if demand.is_ground:
            for day in {day for _, day in made}:
                trims = [
                    key
                    for key in made
                    if key[1] == day and key[0].startswith("trim-") and key[0] != "trim-fat"
                ]
                into = {key: column(-per_kg) for key in trims}
                for key, one in into.items():
                    made_rows[key][0][one] = 1.0
                lean = {
                    one: -((shipped_cuts()[key[0]].lean_pct or 0) - (demand.lean_pct or 0))
                    for key, one in into.items()
                }
                if lean:
                    upper.append((lean, 0.0))
                    made_rows[demand.slug, day] = (dict.fromkeys(into.values(), -1.0), 0.0)
    for (slug, day), (row, _) in made_rows.items():
        best = -shop.waste_cents_per_kg
        for number, demand in enumerate(week.demands):
            if demand.slug != slug:
                continue
            best = demand.salvage_cents_per_kg or best
            for one in shop.weeks():
                first = shop.start + timedelta(days=7 * (one - 1))
                if shop.week_of(day) <= one and first <= day + timedelta(days=demand.shelf_days):
                    new = column(0.0)
                    row[new] = 1.0
                    sold.setdefault((number, one), {})[new] = 1.0
        for number, order in enumerate(week.orders):
            if order.slug == slug and day <= order.by <= day + timedelta(days=order.shelf_days):
                new = column(order.price_cents_per_kg)
                row[new] = 1.0
                ordered[number][new] = 1.0
        row[column(best)] = 1.0
    for (number, _one), terms in sold.items():
        below = 0.0
        for step in week.demands[number].steps:
            terms[column(step.price_cents_per_kg, step.upto_kg - below)] = -1.0
            below = step.upto_kg
        equal.append((terms, 0.0))
    equal += list(made_rows.values())
    for number, order in enumerate(week.orders):
        equal.append((ordered[number], order.weight_kg))
    answer = linprog(
        [-gain for gain, _ in columns],
        A_eq=_matrix([terms for terms, _ in equal], len(columns)),
        b_eq=[right for _, right in equal],
        A_ub=_matrix([terms for terms, _ in upper], len(columns)) if upper else None,
        b_ub=[right for _, right in upper] if upper else None,
        bounds=[(0.0, limit) for _, limit in columns],
    )
    return -float(answer.fun) if answer.status == 0 else None


def _matrix(rows: list[dict[int, float]], width: int) -> np.ndarray:
    matrix = np.zeros((len(rows), width))
    for number, row in enumerate(rows):
        for one, value in row.items():
            matrix[number, one] = value
    return matrix


def best_by_trying(week: Week, tree: Tree) -> float | None:
    """The best profit of all plans in cents. The animal's fat goes one way for both its sides."""
    (hanging,) = week.animals
    days = [day for day in week.shop.calendar() if week.shop.is_cutting_day(day)]
    low, _, high = hanging.hang_days or hanging.kind.hang_days
    days = [day for day in days if low <= (day - hanging.killed).days <= high]
    ways = list(every_way(tree, {"side": 1.0}, {}))
    single = list(itertools.product(days, ways))
    best = None
    pairs = itertools.combinations_with_replacement(single, len(hanging.side_hot_kg)) if len(
        hanging.side_hot_kg) > 1 else [(one,) for one in single]  # fmt: skip
    for plan in pairs:
        fat = {ways["trim-fat"] for _, ways in plan if "trim-fat" in ways}
        if len(fat) > 1:
            continue
        made: Made = {}
        cost = 0.0
        for (day, taken), hot_kg in zip(plan, hanging.side_hot_kg.values(), strict=True):
            model = LossModel.prior(hanging.kind, fat_mm=hanging.animal.fat_mm, side_hot_kg=hot_kg)
            kg = hot_kg * model.remaining_mean((day - hanging.killed).days)
            leaves, minutes = cut(tree, taken, kg)
            cost += minutes * week.shop.wage_cents_per_hour / 60
            for slug, much in leaves.items():
                made[slug, day] = made.get((slug, day), 0.0) + much
        brings = best_sale(week, made)
        if brings is not None and (best is None or brings - cost > best):
            best = brings - cost
    return best


def varied(week: Week, draw: random.Random) -> Week:
    """The same week with other prices and steps."""
    demands = []
    for demand in week.demands:
        factor, width = draw.uniform(0.6, 1.5), draw.uniform(0.3, 1.6)
        steps = tuple(Step(step.upto_kg * width, step.price_cents_per_kg * factor) for step in demand.steps)
        demands.append(
            dataclasses.replace(
                demand, steps=steps, salvage_cents_per_kg=demand.salvage_cents_per_kg * factor
            )
        )
    return dataclasses.replace(week, demands=tuple(demands))


@pytest.mark.parametrize("seed", range(6))
def test_one_side_earns_what_the_best_of_all_plans_earns(
    seed: int, small_tree: Tree, read: Callable[[str], Week], parts: dict[str, str]
) -> None:
    text = parts["shop"] + parts["steer"] + 'sides = ["left"]\n' + parts["counter"]
    week = varied(read(text), random.Random(seed))
    tried = best_by_trying(week, small_tree)
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)
    assert tried is not None
    assert plan.status == "optimal"
    # Money is rounded line by line: half a cent a line, some forty lines.
    assert plan.profit_cents == pytest.approx(tried, abs=25)
    assert plan.bound_cents >= tried - 1


@pytest.mark.parametrize("seed", [11, 12])
def test_two_sides_earn_what_the_best_of_all_plans_earns(
    seed: int, small_tree: Tree, read: Callable[[str], Week], parts: dict[str, str]
) -> None:
    order = """
[[order]]
id = "7"
cut = "chuck-roll"
kind = "grain-finished"
weight = "22kg"
by = 2026-03-16
price = "19.00/kg"
"""
    text = parts["shop"] + parts["steer"] + "hang_days = [10, 12, 17]\n" + parts["counter"] + order
    week = varied(read(text), random.Random(seed))
    tried = best_by_trying(week, small_tree)
    plan = solve_week(week, tree=small_tree, shares=book_shares, gap=0.0)
    assert tried is not None
    assert plan.profit_cents == pytest.approx(tried, abs=25)
    assert plan.bound_cents >= tried - 1
