"""Gaps filled, wild weights left out, odd sides tamed: against other ways of computing the same."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

sys.path.insert(0, str(Path(__file__).parent))
from tests_of_a_way import PARTS

from gambrel.breakdown.composition import ilr_basis
from gambrel.learn.robust import ROBUST_DF, Filled, Judged, fill, wild_cells

SIZE = len(PARTS) - 1
BASIS = ilr_basis(len(PARTS))


def judged(seed: int, tests: int, *, leverage: float = 0.0, df: float = 40.0) -> Judged:
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(SIZE, SIZE)) * 0.05 + np.eye(SIZE) * 0.1
    return Judged(rng.normal(size=(tests, SIZE)) * 0.05, root @ root.T, df, np.full(tests, leverage))


def departures(seed: int, at: Judged) -> np.ndarray:
    """Rows that fall as `at` says, as logarithms with a factor of their own."""
    rng = np.random.default_rng(seed)
    y = at.mean + rng.multivariate_normal(np.zeros(SIZE), at.spread, size=len(at.mean))
    return np.asarray(y @ BASIS + rng.normal(size=(len(y), 1)))


def filled(departure: np.ndarray, at: Judged, used: np.ndarray) -> Filled:
    return fill(departure, at, used, age_weight=np.ones(len(departure)))


def conditional(departure: np.ndarray, mean: np.ndarray, spread: np.ndarray, seen: np.ndarray) -> np.ndarray:
    """The same filled row by log-ratios to the first seen part: the usual normal given some of its coordinates."""
    parts = len(seen)
    reference = int(np.flatnonzero(seen)[0])
    to_ratio = np.delete(np.eye(parts) - np.eye(parts)[reference], reference, axis=0) @ BASIS.T
    known = np.delete(seen, reference)
    centre, cov = to_ratio @ mean, to_ratio @ spread @ to_ratio.T
    ratios = np.delete(np.where(seen, departure, 0.0) - departure[reference], reference)
    off = ratios[known] - centre[known]
    full = centre.copy()
    full[known] = ratios[known]
    full[~known] += cov[np.ix_(~known, known)] @ np.linalg.solve(cov[np.ix_(known, known)], off)
    return np.asarray(np.linalg.solve(to_ratio, full))


@pytest.mark.parametrize("seed", range(12))
def test_a_gap_is_filled_as_the_normal_given_the_rest(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    at = judged(seed, 1)
    row = departures(seed, at)
    seen = np.zeros(len(PARTS), dtype=bool)
    seen[rng.choice(len(PARTS), size=int(rng.integers(2, len(PARTS))), replace=False)] = True
    by_hand = conditional(row[0], at.mean[0], at.spread, seen)
    hidden = np.where(seen, row, np.nan)
    assert filled(hidden, at, seen[None]).y[0] == pytest.approx(by_hand, abs=1e-9)


def test_a_whole_side_is_kept_as_it_is() -> None:
    at = judged(1, 5)
    rows = departures(1, at)
    made = filled(rows, at, np.ones_like(rows, dtype=bool))
    assert made.y == pytest.approx(rows @ BASIS.T, abs=1e-10)
    assert made.doubt == pytest.approx(np.zeros((SIZE, SIZE)), abs=1e-12)


@pytest.mark.parametrize("factor", [0.1, 2.0, 40.0])
def test_pounds_and_kilograms_fill_alike(factor: float) -> None:
    at = judged(2, 4)
    rows = departures(2, at)
    rows[:, 3] = np.nan
    used = np.isfinite(rows)
    assert filled(rows + np.log(factor), at, used).y == pytest.approx(filled(rows, at, used).y, abs=1e-10)


@pytest.mark.parametrize("known", [2, 3, 4, 5, 6])
def test_a_partial_test_counts_by_the_share_of_its_ratios(known: int) -> None:
    """Of 6 parts there are 5 ratios; k weighed parts give k - 1 of them. Just at its mean no side is odd."""
    at = judged(3, 1)
    row = at.mean @ BASIS
    used = np.arange(len(PARTS))[None] < known
    made = filled(np.where(used, row, np.nan), at, used)
    assert made.weight[0] == pytest.approx((known - 1) / 5)


@pytest.mark.parametrize("known", [0, 1])
def test_one_weight_alone_tells_nothing(known: int) -> None:
    at = judged(4, 1)
    used = np.arange(len(PARTS))[None] < known
    made = filled(np.where(used, 0.3, np.nan), at, used)
    assert made.weight[0] == 0.0
    assert made.y[0] == pytest.approx(at.mean[0])


def test_an_odd_side_counts_as_under_a_student_t() -> None:
    """Far in spread units d2 = 5 x 16 = 80; weight (8 + 5) / (8 + 80), by hand."""
    at = Judged(np.zeros((1, SIZE)), np.eye(SIZE), 40.0, np.zeros(1))
    made = filled(np.full((1, SIZE), 4.0) @ BASIS, at, np.ones((1, len(PARTS)), dtype=bool))
    assert made.weight[0] == pytest.approx((ROBUST_DF + 5) / (ROBUST_DF + 80))


def test_a_side_that_drew_its_own_mean_is_judged_by_the_room_that_is_left() -> None:
    """Leverage 0.75 leaves a quarter of the variance: the same distance is four times as odd."""
    at = Judged(np.zeros((1, SIZE)), np.eye(SIZE), 40.0, np.array([0.75]))
    made = filled(np.full((1, SIZE), 4.0) @ BASIS, at, np.ones((1, len(PARTS)), dtype=bool))
    assert made.weight[0] == pytest.approx((ROBUST_DF + 5) / (ROBUST_DF + 4 * 80))
    assert Judged(at.mean, at.spread, 40.0, np.array([0.99])).room == pytest.approx([0.1])


def test_age_and_oddness_multiply() -> None:
    at = judged(5, 3)
    rows = departures(5, at)
    used = np.ones_like(rows, dtype=bool)
    young = filled(rows, at, used).weight
    old = fill(rows, at, used, age_weight=np.array([1.0, 0.5, 0.25])).weight
    assert old == pytest.approx(young * [1.0, 0.5, 0.25])


def test_the_doubt_of_a_gap_is_what_the_seen_parts_leave_open() -> None:
    """Monte Carlo: what is left of the filled coordinates' error over many sides is the stated doubt a side."""
    tests = 40_000
    at = judged(6, 1)
    at = Judged(np.repeat(at.mean, tests, axis=0), at.spread, at.df, np.full(tests, -np.inf))
    rows = departures(6, at)
    used = np.ones_like(rows, dtype=bool)
    used[:, [1, 4]] = False
    made = filled(np.where(used, rows, np.nan), at, used)
    error = rows @ BASIS.T - made.y
    assert made.doubt / made.weight.sum() == pytest.approx(error.T @ error / tests, rel=0.05, abs=2e-4)


@pytest.mark.parametrize("df", [6.0, 10.0, 20.0, 60.0, 400.0])
def test_the_bound_of_a_wild_weight_is_as_rare_with_few_sides_as_with_many(df: float) -> None:
    """Chance of a squared normal above 12, and of its F with `df` above the bound: near each other."""
    at = Judged(np.zeros((1, SIZE)), np.eye(SIZE), df, np.zeros(1))
    rare = float(stats.chi2.sf(12.0, 1))
    assert stats.f.sf(at.wild_bound, 1, df) == pytest.approx(rare, rel=0.12)


@pytest.mark.parametrize("part", range(len(PARTS)))
@pytest.mark.parametrize("factor", [0.1, 0.4536, 2.2046, 10.0])
def test_the_wild_weight_and_no_other_is_left_out(part: int, factor: float) -> None:
    rng = np.random.default_rng(part)
    at = Judged(np.zeros((6, SIZE)), np.eye(SIZE) * 0.05**2, 60.0, np.zeros(6))
    rows = rng.normal(size=(6, SIZE)) * 0.05 @ BASIS
    rows[2, part] += np.log(factor)
    wild = wild_cells(rows, at)
    assert np.argwhere(wild).tolist() == [[2, part]]


def test_two_slips_on_one_side_are_both_left_out_and_their_neighbours_stay() -> None:
    at = Judged(np.zeros((1, SIZE)), np.eye(SIZE) * 0.05**2, 60.0, np.zeros(1))
    rows = np.zeros((1, len(PARTS)))
    rows[0, 0] += np.log(2.2046)
    rows[0, 3] += np.log(0.1)
    assert np.flatnonzero(wild_cells(rows, at)[0]).tolist() == [0, 3]


def test_never_more_than_half_of_a_side_is_called_wild() -> None:
    rng = np.random.default_rng(9)
    at = Judged(np.zeros((50, SIZE)), np.eye(SIZE) * 0.01**2, 60.0, np.zeros(50))
    wild = wild_cells(rng.normal(size=(50, len(PARTS))), at)
    assert wild.sum(axis=1).max() <= len(PARTS) // 2
    assert wild.any()


def test_a_gap_is_not_wild() -> None:
    at = Judged(np.zeros((1, SIZE)), np.eye(SIZE) * 0.05**2, 60.0, np.zeros(1))
    rows = np.zeros((1, len(PARTS)))
    rows[0, 2] = np.nan
    assert not wild_cells(rows, at).any()


def test_of_two_weights_nobody_can_say_which_is_wild() -> None:
    at = Judged(np.zeros((1, SIZE)), np.eye(SIZE) * 0.05**2, 60.0, np.zeros(1))
    rows = np.full((1, len(PARTS)), np.nan)
    rows[0, :2] = 0.0, 5.0
    assert not wild_cells(rows, at).any()


def test_honest_sides_are_rarely_accused() -> None:
    """At once in two thousand a weight, 12,000 honest ones give about 6; 25 would be beyond luck."""
    at = judged(7, 2000, df=400.0)
    assert int(wild_cells(departures(8, at), at).sum()) < 25
