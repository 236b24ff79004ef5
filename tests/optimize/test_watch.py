"""Watching a search: what it tells on its way, and that it ends when it is told to."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.optimize import Problem, Watch


def hard_problem(seed: int = 1, *, columns: int = 60, rows: int = 30) -> Problem:
    """A knapsack with many rules, which takes far longer than a test should."""
    rng = np.random.default_rng(seed)
    problem = Problem()
    for _ in range(columns):
        problem.choice(gain=float(rng.integers(50, 100)))
    for number in range(rows):
        weights = rng.integers(20, 100, columns)
        terms = {column: float(each) for column, each in enumerate(weights)}
        problem.rule(f"sack {number}", terms, high=float(weights.sum() / 2))
    return problem


def test_better_answers_are_told_with_what_is_proven_of_them() -> None:
    told: list[tuple[float, float]] = []
    problem = hard_problem(columns=25, rows=5)
    answer = problem.solve(gap=0.0, watch=Watch(found=lambda gain, bound: told.append((gain, bound))))
    gains = [gain for gain, _ in told]
    assert gains, "nothing was told"
    assert gains == sorted(gains)
    assert gains[-1] == pytest.approx(answer.objective)
    assert all(bound >= answer.objective - 1e-6 for _, bound in told)


def test_a_search_that_is_stopped_answers_with_its_best_so_far() -> None:
    found: list[float] = []
    watch = Watch(found=lambda gain, bound: found.append(gain), stop=lambda: bool(found))
    problem = hard_problem()
    answer = problem.solve(gap=0.0, seconds=120.0, watch=watch)
    assert answer.status == "time-limit"
    assert answer.objective >= found[0]
    assert answer.bound >= answer.objective
    for row in problem.rows:
        assert answer.values @ np.asarray(row.coefficients) <= row.high + 1e-6


def test_a_search_that_is_stopped_at_once_has_no_answer_but_never_says_there_is_none() -> None:
    answer = hard_problem().solve(gap=0.0, seconds=120.0, watch=Watch(stop=lambda: True))
    assert answer.status == "time-limit"


@pytest.mark.parametrize("columns", [40, 6000])
def test_a_linear_program_is_stopped_too(columns: int) -> None:
    rng = np.random.default_rng(3)
    problem = Problem()
    for _ in range(columns):
        problem.variable(gain=float(rng.uniform(1, 2)), high=10.0)
    for number in range(200):
        terms = {int(column): float(rng.uniform(0.5, 2)) for column in rng.integers(0, columns, 50)}
        problem.rule(f"rule {number}", terms, high=40.0)
    answer = problem.solve(watch=Watch(stop=lambda: True))
    assert answer.status == "time-limit"
    assert problem.solve(watch=Watch(stop=lambda: False)).status == "optimal"


def test_a_slip_in_what_is_told_ends_the_search_and_is_raised() -> None:
    def slip(gain: float, bound: float) -> None:
        raise KeyError("a slip of ours")

    with pytest.raises(KeyError, match="a slip of ours"):
        hard_problem().solve(gap=0.0, seconds=120.0, watch=Watch(found=slip))
