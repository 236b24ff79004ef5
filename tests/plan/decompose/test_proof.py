"""The bound of a week taken apart: what another solver says of the week in one piece, and never less than a plan."""

from __future__ import annotations

import itertools
import random
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csr_matrix

from gambrel.optimize import Problem
from gambrel.plan.bound import relaxed
from gambrel.plan.decompose.shared import OWN_RULES, Shared, lay_down_shared
from gambrel.plan.decompose.taken_apart import Apart, settle, take_apart
from gambrel.plan.model import PlanModel
from gambrel.plan.rules import RULES
from gambrel.plan.search import Search

MakeSearch = Callable[..., Search]
Settled = Callable[..., Apart]


def by_scipy(problem: Problem) -> float:
    """The most that the program gains with nothing whole, through another solver's interface."""
    rows = [number for number, row in enumerate(problem.rows) for _ in row.columns]
    columns = [column for row in problem.rows for column in row.columns]
    entries = [entry for row in problem.rows for entry in row.coefficients]
    matrix = csr_matrix((entries, (rows, columns)), shape=(len(problem.rows), len(problem.gains)))
    lows = np.asarray([row.low for row in problem.rows])
    highs = np.asarray([row.high for row in problem.rows])
    equal = lows == highs
    above, below = ~equal & np.isfinite(highs), ~equal & np.isfinite(lows)
    upper = np.concatenate([highs[above], -lows[below]])
    stacked = csr_matrix(np.vstack([matrix[above].toarray(), -matrix[below].toarray()]))
    answer = linprog(
        -np.asarray(problem.gains), A_eq=matrix[equal], b_eq=highs[equal],
        A_ub=stacked if len(upper) else None, b_ub=upper if len(upper) else None,
        bounds=list(zip(problem.lows, problem.highs, strict=True)), method="highs-ipm",
    )  # fmt: skip
    assert answer.status == 0, answer.message
    return -float(answer.fun)


def whole_split(search: Search) -> PlanModel:
    """The split week in one piece, every rule laid down."""
    return search.built(split=True)


@pytest.mark.parametrize("seed", range(12))
def test_taken_apart_or_in_one_piece_the_bound_is_the_same(
    small_search: MakeSearch, settled: Settled, seed: int
) -> None:
    draw = random.Random(seed)
    search = small_search(
        seed,
        animals=draw.choice((1, 2, 3)),
        minutes=draw.choice((None, 120.0, 260.0)),
        sides=draw.choice((None, 3.0, 5.0)) if seed % 3 else None,
    )
    wanted = relaxed(whole_split(search).problem).solve()
    if wanted.status == "no-plan":
        apart = take_apart(search.built(split=True, lay_down=lay_down_shared), threads=1)
        assert not settle(apart, close_share=1e-9, seconds_left=lambda: 1e6, told=lambda so_far: None)
        return
    apart = settled(search)
    assert apart.answer is not None
    assert apart.bound_cents == pytest.approx(wanted.objective, rel=1e-6)
    assert apart.answer.objective == pytest.approx(wanted.objective, rel=1e-6)
    assert apart.bound_cents >= apart.answer.objective - 1e-6 * abs(wanted.objective)


def test_a_week_of_the_shipped_tree_has_the_bound_that_another_solver_finds(
    real_search: Search, settled: Settled
) -> None:
    wanted = by_scipy(whole_split(real_search).problem)
    apart = settled(real_search, close_share=1e-6)
    assert apart.bound_cents == pytest.approx(wanted, rel=2e-6)
    assert apart.bound_cents >= wanted * (1.0 - 1e-7)


@pytest.mark.parametrize("seed", range(8))
def test_any_prices_at_all_give_a_bound(small_search: MakeSearch, seed: int) -> None:
    """Weak duality: drawn at random they prove little, but never too little."""
    search = small_search(seed, animals=2, minutes=260.0)
    wanted = relaxed(whole_split(search).problem).solve()
    apart = take_apart(search.built(split=True, lay_down=lay_down_shared), threads=1)
    rng = np.random.default_rng(seed)
    for spread_cents in (1.0, 100.0, 2000.0):
        prices = apart.shared.possible(rng.normal(0.0, spread_cents, apart.master.rules))
        apart.look(prices)
        assert apart.bound_cents >= wanted.objective - 1e-6 * abs(wanted.objective)


def test_what_is_told_only_ever_gets_better(small_search: MakeSearch) -> None:
    search = small_search(3, animals=3, minutes=150.0)
    apart = take_apart(search.built(split=True, lay_down=lay_down_shared), threads=1)
    bounds: list[float] = []
    gains: list[float] = []

    def told(so_far: Apart) -> None:
        assert so_far.answer is not None
        bounds.append(so_far.bound_cents)
        gains.append(so_far.answer.objective)

    assert settle(apart, close_share=1e-9, seconds_left=lambda: 1e6, told=told)
    assert len(bounds) > 2
    assert bounds == sorted(bounds, reverse=True)
    assert all(later >= earlier - 1e-6 * abs(later) for earlier, later in itertools.pairwise(gains))
    assert all(bound >= gains[-1] - 1e-6 * abs(gains[-1]) for bound in bounds)


def test_time_that_runs_out_leaves_a_bound_that_holds(small_search: MakeSearch) -> None:
    search = small_search(5, animals=3, minutes=150.0)
    wanted = relaxed(whole_split(search).problem).solve().objective
    apart = take_apart(search.built(split=True, lay_down=lay_down_shared), threads=1)
    turns: list[float] = []
    settle(apart, close_share=1e-9, told=lambda so_far: turns.append(so_far.bound_cents),
           seconds_left=lambda: 1e6 if len(turns) < 2 else 0.0)  # fmt: skip
    assert len(turns) == 2
    assert apart.bound_cents >= wanted - 1e-6 * abs(wanted)


@pytest.mark.parametrize("seed", range(5))
def test_a_way_that_is_forced_costs_at_least_what_the_bound_says(
    small_search: MakeSearch, settled: Settled, seed: int
) -> None:
    """For each way at the top of the tree: the split week with a side forced to take it gains so much less."""
    search = small_search(seed, animals=2, minutes=260.0)
    apart = settled(search)
    bound = apart.bound()
    model = whole_split(search)
    looked_at = 0
    for group in model.groups[:2]:
        options = model.options[group.number]
        for at, day in enumerate(group.days):
            for number, choice in enumerate(options.choices):
                place = options.places[choice.place]
                if place.piece not in ("forequarter", "hindquarter"):
                    continue
                (share,) = place.above.values()
                lost = bound.losses[group.number].at_start[at]
                lost += share * bound.losses[group.number].by_way[place.piece, choice.ways[place.piece]][at]
                forced = relaxed(model.problem)
                forced.lows = list(forced.lows)
                forced.lows[model.chosen[group.number, day, number]] = share
                answer = forced.solve()
                if answer.status != "no-plan":
                    assert answer.objective <= bound.gain_cents - lost + 1e-5 * abs(bound.gain_cents)
                    looked_at += 1
    assert looked_at >= 4


def test_own_and_shared_rules_are_all_the_rules() -> None:
    assert set(RULES) >= OWN_RULES
    assert len(OWN_RULES) == 3


def test_shared_rules_hold_no_rule_of_one_group(small_search: MakeSearch) -> None:
    search = small_search(1, animals=3, minutes=260.0, sides=4.0)
    whole = {row.sentence for row in whole_split(search).problem.rows}
    shared = {row.sentence for row in search.built(split=True, lay_down=lay_down_shared).problem.rows}
    assert all("is broken one way" in one or "is cut by" in one for one in whole - shared)
    assert any("metres of rail" in one for one in shared) and any("hours on" in one for one in shared)


def test_the_arrays_say_what_the_rules_say(small_search: MakeSearch) -> None:
    """Gains at prices, column by column, summed by hand over the rules."""
    model = small_search(2, animals=2, minutes=200.0).built(split=True, lay_down=lay_down_shared)
    shared = Shared(model)
    prices = np.random.default_rng(4).normal(0.0, 100.0, len(model.problem.rows))
    by_hand = list(model.problem.gains)
    for price, row in zip(prices, model.problem.rows, strict=True):
        for column, entry in zip(row.columns, row.coefficients, strict=True):
            by_hand[column] -= price * entry
    assert shared.gains_at(prices) == pytest.approx(np.asarray(by_hand))
    assert set(shared.market) | set(np.flatnonzero(shared.own)) == set(range(len(by_hand)))


def test_prices_of_the_wrong_sign_are_nothing(small_search: MakeSearch) -> None:
    model = small_search(2, minutes=200.0).built(split=True, lay_down=lay_down_shared)
    shared = Shared(model)
    up, down = shared.possible(np.ones(len(shared.soft))), shared.possible(-np.ones(len(shared.soft)))
    for number, row in enumerate(model.problem.rows):
        assert up[number] == (1.0 if np.isfinite(row.high) else 0.0)
        assert down[number] == (-1.0 if np.isfinite(row.low) else 0.0)


def test_a_week_where_a_side_has_no_day_is_not_taken_apart_in_vain(small_search: MakeSearch) -> None:
    """Its groups are in no family; the search looks at it in one piece and finds what is wrong."""
    search = small_search(1, animals=2)
    bare = replace(search.groups[0], weight_kg={}, must_cut=True)
    search.groups = (bare, *search.groups[1:])
    search.began_seconds = time.perf_counter()
    from gambrel.plan.decompose import plan_apart

    assert plan_apart(search) is None
