"""Programs: answers against a second solver's, and sentences for what cannot be met."""

from __future__ import annotations

import itertools
import subprocess
import sys

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from gambrel.optimize import Answer, Problem


def random_problem(seed: int, *, whole: bool) -> Problem:
    """A few columns with limits and a few rules of every form; some of these cannot be met."""
    rng = np.random.default_rng(seed)
    problem = Problem()
    columns = [
        problem.variable(
            gain=float(rng.integers(-5, 10)),
            low=float(rng.integers(-2, 2)),
            high=float(rng.integers(2, 8)),
            whole=whole and bool(rng.integers(0, 2)),
        )
        for _ in range(int(rng.integers(1, 6)))
    ]
    for number in range(int(rng.integers(0, 6))):
        terms = {column: float(rng.integers(-4, 6)) for column in columns if rng.random() < 0.7}
        side = float(rng.integers(-5, 20))
        low, high = [(-np.inf, side), (side, np.inf), (side, side + 4.0), (side, side)][
            int(rng.integers(0, 4))
        ]
        problem.rule(f"rule {number}", terms, low=low, high=high)
    return problem


def dense(problem: Problem) -> np.ndarray:
    matrix = np.zeros((len(problem.rows), len(problem.gains)))
    for number, row in enumerate(problem.rows):
        matrix[number, list(row.columns)] = row.coefficients
    return matrix


def second_opinion(problem: Problem) -> float | None:
    """The best gain by SciPy, None where it finds that there is none."""
    constraints = []
    if problem.rows:
        low = [row.low for row in problem.rows]
        high = [row.high for row in problem.rows]
        constraints = [LinearConstraint(dense(problem), low, high)]
    answer = milp(-np.asarray(problem.gains), integrality=np.asarray(problem.integer, dtype=int),
                  bounds=Bounds(problem.lows, problem.highs), constraints=constraints,
                  options={"mip_rel_gap": 0.0})  # fmt: skip
    return -float(answer.fun) if answer.status == 0 else None


def holds(problem: Problem, values: np.ndarray) -> bool:
    """Checked by plain arithmetic: limits, wholeness and every rule."""
    near = 1e-6
    if not np.all((values >= np.asarray(problem.lows) - near) & (values <= np.asarray(problem.highs) + near)):
        return False
    if any(
        whole and abs(value - round(value)) > near
        for whole, value in zip(problem.integer, values, strict=True)
    ):
        return False
    sums = dense(problem) @ values
    return all(
        row.low - near <= total <= row.high + near for row, total in zip(problem.rows, sums, strict=True)
    )


@pytest.mark.parametrize("whole", [False, True], ids=["linear", "mixed"])
def test_as_good_as_a_second_solver(whole: bool) -> None:
    met = 0
    for seed in range(120):
        problem = random_problem(seed, whole=whole)
        answer, expected = problem.solve(gap=0.0), second_opinion(problem)
        if expected is None:
            assert answer.status == "no-plan", seed
            continue
        met += 1
        assert answer.status == "optimal", seed
        assert answer.objective == pytest.approx(expected, abs=1e-6), seed
        assert answer.gap <= 1e-6
        assert holds(problem, answer.values), seed
    assert 40 < met < 120  # both sorts were tried


def test_as_good_as_trying_every_choice() -> None:
    rng = np.random.default_rng(7)
    for _ in range(20):
        gains, weights = rng.integers(1, 20, 8), rng.integers(1, 20, 8)
        problem = Problem()
        chosen = [problem.choice(gain=float(gain)) for gain in gains]
        room = int(weights.sum() // 2)
        problem.rule(
            "what hangs fits the rail", dict(zip(chosen, weights.astype(float), strict=True)), high=room
        )
        best = max(
            float(np.dot(gains, take))
            for take in itertools.product((0, 1), repeat=8)
            if np.dot(weights, take) <= room
        )
        assert problem.solve(gap=0.0).objective == pytest.approx(best)


def test_row_prices_are_what_one_unit_more_is_worth() -> None:
    """Against solving again with the rule's side one hundredth higher, and against SciPy's own marginals."""
    problem = Problem()
    steak, mince = problem.variable(gain=9.0), problem.variable(gain=4.0)
    problem.rule("hours", {steak: 3.0, mince: 1.0}, high=40.0)
    problem.rule("meat", {steak: 1.0, mince: 1.0}, high=20.0)
    problem.rule("promised mince", {mince: 1.0}, low=5.0)
    answer = problem.solve()
    for number in range(3):
        eased = Problem(problem.gains, problem.lows, problem.highs, problem.integer, list(problem.rows))
        row = problem.rows[number]
        eased.rows[number] = type(row)(
            row.sentence, row.columns, row.coefficients, row.low + 0.01, row.high + 0.01
        )
        gained = (eased.solve().objective - answer.objective) / 0.01
        assert answer.row_prices[number] == pytest.approx(gained, abs=1e-6)
    check = linprog([-9.0, -4.0], A_ub=[[3.0, 1.0], [1.0, 1.0], [0.0, -1.0]], b_ub=[40.0, 20.0, -5.0])
    assert answer.row_prices[:2] == pytest.approx(-check.ineqlin.marginals[:2])


def test_terms_on_the_same_column_are_added_up() -> None:
    problem = Problem()
    column = problem.variable(gain=1.0)
    problem.rule("twice", [(column, 1.0), (column, 1.0)], high=10.0)
    assert problem.solve().objective == pytest.approx(5.0)


def test_no_plan() -> None:
    problem = Problem()
    column = problem.variable(gain=1.0, high=9.0)
    problem.rule("at least five", {column: 1.0}, low=5.0)
    problem.rule("at most three", {column: 1.0}, high=3.0)
    answer = problem.solve()
    assert (answer.status, answer.values.size, answer.gap) == ("no-plan", 0, np.inf)


@pytest.mark.parametrize("whole", [False, True])
def test_a_gain_without_limit_is_our_own_mistake(whole: bool) -> None:
    problem = Problem()
    column = problem.variable(gain=1.0, whole=whole)
    problem.rule("at least three", {column: 1.0}, low=3.0)
    with pytest.raises(ValueError, match="no upper limit"):
        problem.solve()


def test_no_plan_is_told_from_no_limit_though_both_are_there() -> None:
    """One column could gain for ever, but the rules on another cannot be met."""
    problem = Problem()
    problem.variable(gain=1.0)
    other = problem.variable(whole=True)
    problem.rule("half a side", {other: 2.0}, low=1.0, high=1.0)
    assert problem.solve().status == "no-plan"


def test_nothing_to_decide() -> None:
    assert Problem().solve() == Answer("optimal", 0.0, 0.0, pytest.approx([]), pytest.approx([]))
    empty = Problem()
    empty.rule("something out of nothing", {}, low=1.0)
    assert empty.solve().status == "no-plan"


def test_a_rule_without_columns() -> None:
    problem = Problem()
    problem.variable(gain=1.0, high=2.0)
    problem.rule("nothing is at most one", {}, high=1.0)
    assert problem.solve().objective == pytest.approx(2.0)
    problem.rule("nothing is at least one", {}, low=1.0)
    assert problem.solve().status == "no-plan"


def hard_problem() -> Problem:
    """A knapsack with many rules: seconds to minutes to prove."""
    rng = np.random.default_rng(1)
    problem = Problem()
    chosen = [problem.choice(gain=float(rng.integers(1, 100))) for _ in range(60)]
    for number in range(30):
        terms = {column: float(rng.integers(1, 100)) for column in chosen}
        problem.rule(f"rule {number}", terms, high=500.0)
    return problem


def test_the_time_limit_gives_the_best_so_far_with_its_gap() -> None:
    problem = hard_problem()
    answer = problem.solve(gap=0.0, seconds=0.4)
    assert answer.status == "time-limit"
    assert answer.objective < answer.bound
    assert answer.gap == pytest.approx((answer.bound - answer.objective) / answer.objective)
    assert holds(problem, answer.values)


def test_no_time_at_all() -> None:
    answer = hard_problem().solve(seconds=0.0)
    assert (answer.status, answer.objective, answer.values.size) == ("time-limit", -np.inf, 0)
    with pytest.raises(TimeoutError):
        hard_problem().least_breach(seconds=0.0)


def test_a_wide_gap_says_so() -> None:
    answer = hard_problem().solve(gap=0.3, seconds=20.0)
    assert answer.status == "within-gap"
    assert 1e-6 < answer.gap <= 0.3


def test_a_start_is_taken_up() -> None:
    """With no time to search, the answer is at least as good as the one handed in."""
    problem = hard_problem()
    first = problem.solve(seconds=0.4)
    again = problem.solve(seconds=0.05, start=first.values)
    assert again.objective >= first.objective - 1e-6


def test_solving_twice_gives_the_same_answer() -> None:
    problem = random_problem(3, whole=True)
    one, two = problem.solve(), problem.solve()
    assert one.objective == two.objective
    assert one.values == pytest.approx(two.values)


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    random_problem(3, whole=True).solve()
    random_problem(4, whole=False).solve()
    print("ours")
    printed = capfd.readouterr()
    assert printed.out == "ours\n"
    assert printed.err == ""


def test_nothing_is_printed_by_a_fresh_process() -> None:
    """The solver's library greets once a process, so a process that has solved before proves nothing."""
    program = (
        "from gambrel.optimize import Problem; p = Problem(); p.variable(high=1.0); p.solve(); print('ours')"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("ours\n", "")
