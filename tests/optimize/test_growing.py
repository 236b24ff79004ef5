"""A program that grows: after every column and every new limit its answer is another solver's of the whole."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from gambrel.optimize import Column, GrowingProgram, Problem, Watch


def drawn(rng: np.random.Generator, rules: int) -> Column:
    """A column with entries in some of the rules and limits of its own."""
    there = np.flatnonzero(rng.random(rules) < 0.6)
    return Column(float(rng.integers(-5, 10)), there, rng.integers(1, 6, len(there)).astype(float),
                  high=float(rng.integers(1, 8)))  # fmt: skip


def by_scipy(columns: list[Column], highs: np.ndarray) -> tuple[float, np.ndarray]:
    """The most gained under `highs` alone, and the prices of the rules, from another solver's interface."""
    matrix = np.zeros((len(highs), len(columns)))
    for number, column in enumerate(columns):
        matrix[column.rules, number] = column.entries
    answer = linprog([-column.gain for column in columns], A_ub=matrix, b_ub=highs,
                     bounds=[(column.low, column.high) for column in columns], method="highs-ds")  # fmt: skip
    assert answer.status == 0
    return -float(answer.fun), -np.asarray(answer.ineqlin.marginals)


@pytest.mark.parametrize("seed", range(25))
def test_every_column_more_is_answered_as_if_it_had_always_been_there(seed: int) -> None:
    rng = np.random.default_rng(seed)
    highs = rng.integers(3, 20, 4).astype(float)
    program = GrowingProgram(np.full(4, -np.inf), highs)
    columns: list[Column] = []
    for _ in range(5):
        new = [drawn(rng, 4) for _ in range(int(rng.integers(1, 4)))]
        assert program.add(new) == len(columns)
        columns += new
        wanted, _ = by_scipy(columns, highs)
        answer = program.solve(seconds=10.0)
        assert answer.status == "optimal"
        assert answer.objective == pytest.approx(wanted, abs=1e-7)
        assert len(answer.values) == len(columns)
        gains = np.asarray([column.gain for column in columns])
        assert float(gains @ answer.values) == pytest.approx(wanted, abs=1e-7)


@pytest.mark.parametrize("seed", range(25))
def test_prices_prove_the_answer(seed: int) -> None:
    """Strong duality: rules at their prices and columns at what they gain beyond them come to the same sum."""
    rng = np.random.default_rng(100 + seed)
    highs = rng.integers(3, 20, 5).astype(float)
    program = GrowingProgram(np.full(5, -np.inf), highs)
    columns = [drawn(rng, 5) for _ in range(8)]
    program.add(columns)
    answer = program.solve(seconds=10.0)
    assert (answer.row_prices >= -1e-9).all(), (
        "a rule that only limits from above is worth something to raise"
    )
    beyond = [column.gain - float(column.entries @ answer.row_prices[column.rules]) for column in columns]
    proof = float(highs @ answer.row_prices)
    proof += sum(max(0.0, gain) * column.high for gain, column in zip(beyond, columns, strict=True))
    assert proof == pytest.approx(answer.objective, abs=1e-6)


@pytest.mark.parametrize("seed", range(15))
def test_new_limits_count_from_then_on_and_can_be_taken_back(seed: int) -> None:
    rng = np.random.default_rng(200 + seed)
    highs = rng.integers(10, 30, 3).astype(float)
    program = GrowingProgram(np.full(3, -np.inf), highs)
    columns = [drawn(rng, 3) for _ in range(6)]
    program.add(columns)
    free = program.solve(seconds=10.0).objective
    for number, column in enumerate(columns):
        shut = [replace(one, high=0.0) if one is column else one for one in columns]
        program.limit(number, 0.0, 0.0)
        assert program.solve(seconds=10.0).objective == pytest.approx(by_scipy(shut, highs)[0], abs=1e-7)
        program.limit(number, 0.0, column.high)
    assert program.solve(seconds=10.0).objective == pytest.approx(free, abs=1e-7)


def test_a_page_of_sums() -> None:
    """Two hours of work; steaks bring 30 an hour, but only one hour of them is wanted; roasts bring 20."""
    program = GrowingProgram(np.asarray([-np.inf]), np.asarray([2.0]))
    program.add([Column(20.0, np.asarray([0]), np.asarray([1.0]))])
    roasts = program.solve(seconds=5.0)
    assert roasts.objective == pytest.approx(40.0)
    assert roasts.row_prices.tolist() == pytest.approx([20.0])
    program.add([Column(30.0, np.asarray([0]), np.asarray([1.0]), high=1.0)])
    both = program.solve(seconds=5.0)
    assert both.objective == pytest.approx(50.0)
    assert both.values.tolist() == pytest.approx([1.0, 1.0])
    assert both.row_prices.tolist() == pytest.approx([20.0]), "an hour more is an hour of roasts"


def test_rules_that_clash_have_no_answer_until_a_column_helps() -> None:
    program = GrowingProgram(np.asarray([3.0]), np.asarray([3.0]))
    program.add([Column(1.0, np.asarray([0]), np.asarray([1.0]), high=2.0)])
    assert program.solve(seconds=5.0).status == "no-plan"
    program.add([Column(-5.0, np.asarray([0]), np.asarray([1.0]))])
    answer = program.solve(seconds=5.0)
    assert answer.status == "optimal"
    assert answer.objective == pytest.approx(2.0 - 5.0)


def test_another_program_solved_in_between_on_other_threads_does_no_harm() -> None:
    program = GrowingProgram(np.asarray([-np.inf]), np.asarray([4.0]), threads=1)
    program.add([Column(1.0, np.asarray([0]), np.asarray([1.0]))])
    assert program.solve(seconds=5.0).objective == pytest.approx(4.0)
    other = Problem()
    column = other.choice(gain=3.0)
    other.rule("at most one", {column: 1.0}, high=1.0)
    assert other.solve(threads=2).objective == pytest.approx(3.0)
    program.limit(0, 0.0, 2.0)
    assert program.solve(seconds=5.0).objective == pytest.approx(2.0)


def test_its_time_is_counted_from_each_start_and_not_from_the_first() -> None:
    """A few hundred answers take longer together than one of them may."""
    program = GrowingProgram(np.full(3, -np.inf), np.asarray([5.0, 6.0, 7.0]))
    rng = np.random.default_rng(1)
    program.add([drawn(rng, 3) for _ in range(6)])
    for turn in range(300):
        program.limit(turn % 6, 0.0, float(1 + turn % 5))
        assert program.solve(seconds=30.0).status == "optimal"


def test_a_watch_that_says_stop_ends_it_without_an_answer() -> None:
    """With enough columns that the solver looks up at least once before it is done."""
    rng = np.random.default_rng(3)
    asked: list[bool] = []

    def stop() -> bool:
        asked.append(True)
        return True

    program = GrowingProgram(
        np.full(200, -np.inf), rng.integers(50, 99, 200).astype(float), watch=Watch(stop=stop)
    )
    program.add([drawn(rng, 200) for _ in range(400)])
    answer = program.solve(seconds=60.0)
    assert asked
    assert answer.status == "time-limit"
    assert not answer.values.size
