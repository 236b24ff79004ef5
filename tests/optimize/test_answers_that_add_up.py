"""An answer must gain what the solver says that it gains: one that does not is solved again from nothing."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from gambrel.optimize import Answer, Problem


@pytest.fixture
def problem() -> Problem:
    """One of two sides fits in five hours: 30 or 44 are gained."""
    sides = Problem()
    first, second = (
        sides.variable(gain=30.0, high=1.0, whole=True),
        sides.variable(gain=44.0, high=1.0, whole=True),
    )
    sides.rule("hours", {first: 3.0, second: 4.0}, high=5.0)
    return sides


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Every answer of the solver; the first one is made to say 100 more than it gains, as if it were the best."""
    told: list[float] = []
    truly = Problem._answer

    def misjudged(self: Problem, highs: Any, highspy: Any) -> Answer:
        answer = truly(self, highs, highspy)
        told.append(answer.objective)
        wrong = 100.0 if len(told) == 1 else 0.0
        return replace(answer, objective=answer.objective + wrong, bound=answer.bound + wrong)

    monkeypatch.setattr(Problem, "_answer", misjudged)
    return told


def test_a_start_that_is_misjudged_is_left_out(problem: Problem, asked: list[float]) -> None:
    answer = problem.solve(gap=0.0, start=np.array([1.0, 0.0]))
    assert len(asked) == 2
    assert answer.objective == answer.bound == pytest.approx(44.0)
    assert answer.values.tolist() == pytest.approx([0.0, 1.0])


def test_a_start_that_is_judged_right_is_kept(problem: Problem) -> None:
    answer = problem.solve(gap=0.0, start=np.array([1.0, 0.0]))
    assert answer.objective == pytest.approx(44.0)
    assert answer.objective == pytest.approx(float(np.dot(problem.gains, answer.values)))


def test_without_a_start_there_is_nothing_to_leave_out(problem: Problem, asked: list[float]) -> None:
    assert problem.solve(gap=0.0).objective == pytest.approx(144.0)
    assert len(asked) == 1


def test_no_answer_adds_up(problem: Problem) -> None:
    """Where nothing keeps the rules there is nothing to add up, with a start or without."""
    problem.rule("more than there is", {0: 1.0, 1: 1.0}, low=2.0)
    assert problem.solve(start=np.array([1.0, 0.0])).status == "no-plan"
