"""A linear or mixed-integer program built column by column and rule by rule, solved by HiGHS.

Every rule carries a sentence; when no answer exists, `least_breach` says which ones clash and by how much.
"""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import chain
from typing import Any

import numpy as np

from gambrel.optimize.watch import Listener, Watch

INF = math.inf

LARGE_COLUMNS = 5_000
"""A linear program of more columns goes to the interior-point method, which is then three times as fast."""


@dataclass(frozen=True, slots=True)
class Row:
    """One rule: low <= sum(coefficient * column) <= high. `soft` says a person could give way on it."""

    sentence: str
    columns: tuple[int, ...]
    coefficients: tuple[float, ...]
    low: float
    high: float
    soft: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What the solver found: `status` is optimal, within-gap, time-limit or no-plan.

    `values` are empty on no-plan, and on time-limit when no answer was found in time.

    `row_prices` (linear programs only) is the change of the objective per unit that a rule's binding side is
    relaxed upwards.
    """

    status: str
    objective: float
    bound: float
    values: np.ndarray
    row_prices: np.ndarray

    @property
    def gap(self) -> float:
        """|bound - objective| as a share of |objective|."""
        if not math.isfinite(self.objective):
            return INF
        return abs(self.bound - self.objective) / max(1e-9, abs(self.objective))


@dataclass
class Problem:
    """Columns (`variable`) and rules (`rule`), then `solve`. Maximises the sum of `gain` times value."""

    gains: list[float] = field(default_factory=list)
    lows: list[float] = field(default_factory=list)
    highs: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    def variable(self, *, gain: float = 0.0, low: float = 0.0, high: float = INF, whole: bool = False) -> int:
        """A new column; returns its number."""
        self.gains.append(gain)
        self.lows.append(low)
        self.highs.append(high)
        self.integer.append(whole)
        return len(self.gains) - 1

    def choice(self, *, gain: float = 0.0) -> int:
        """A new yes-or-no column."""
        return self.variable(gain=gain, high=1.0, whole=True)

    def rule(
        self,
        sentence: str,
        terms: Mapping[int, float] | Iterable[tuple[int, float]],
        *,
        low: float = -INF,
        high: float = INF,
        soft: bool = False,
    ) -> int:
        """A new rule over columns; terms on the same column are added up. Returns its number."""
        added: dict[int, float] = {}
        for column, coefficient in terms.items() if isinstance(terms, Mapping) else terms:
            added[column] = added.get(column, 0.0) + coefficient
        self.rows.append(Row(sentence, tuple(added), tuple(added.values()), low, high, soft))
        return len(self.rows) - 1

    def solve(
        self,
        *,
        gap: float = 1e-6,
        seconds: float = 60.0,
        threads: int = 2,
        start: np.ndarray | None = None,
        watch: Watch | None = None,
    ) -> Answer:
        """Solve to a relative `gap`, until `seconds` have passed or until `watch` says stop.

        A search that is stopped answers as one whose time is up: with the best it has found, and what is proven.

        `ValueError` when the gain has no upper limit: a column then lacks a rule, which is our own mistake.
        """
        import highspy

        if not self.gains:
            return self._without_columns()
        with quiet_stdout():
            highs = highspy.Highs()  # type: ignore[no-untyped-call]
            highs.setOptionValue("output_flag", False)
            highs.resetGlobalScheduler(True)
            highs.setOptionValue("threads", threads)
            highs.setOptionValue("mip_rel_gap", gap)
            highs.setOptionValue("time_limit", float(seconds))
            if not any(self.integer) and len(self.gains) > LARGE_COLUMNS:
                highs.setOptionValue("solver", "ipm")
            highs.passModel(self._highs_model(highspy))
            if start is not None:
                solution = highspy.HighsSolution()
                solution.col_value = list(start)
                highs.setSolution(solution)
            listener = None if watch is None else Listener(highs, watch)
            highs.run()
            if highs.getModelStatus() == highspy.HighsModelStatus.kNotset:
                # Seen on a program of one animal at very unlike prices: presolve gave up. Without it, it is solved.
                highs.setOptionValue("presolve", "off")
                highs.run()
        if listener is not None:
            listener.end()
        answer = self._answer(highs, highspy)
        if start is not None and not self._adds_up(answer):
            # Seen with HiGHS 1.16: an answer it was given to begin with is taken to gain more than it does, so that
            # it calls it the best there is. Without that answer it is right.
            left = max(1.0, seconds - highs.getRunTime())
            return self.solve(gap=gap, seconds=left, threads=threads, watch=watch)
        return answer

    def _adds_up(self, answer: Answer) -> bool:
        """Whether the columns gain what the answer says, to a millionth."""
        if not answer.values.size:
            return True
        gained = float(np.dot(self.gains, answer.values))
        return abs(gained - answer.objective) <= 1e-6 * max(1.0, abs(gained))

    def least_breach(self, *, seconds: float = 30.0) -> list[tuple[Row, float]]:
        """The soft rules that must give way, and by how much, for the rest to hold: the smallest breach.

        Each breach is weighed against the size of what its rule asks for, so that a promise is not preferred
        because it is counted in smaller units. Empty when the rules do not clash; `ValueError` when even
        breaking every soft rule does not help; `TimeoutError` when nothing was found in `seconds`.
        """
        eased = Problem([0.0] * len(self.gains), list(self.lows), list(self.highs), list(self.integer))
        slack_of: dict[int, list[int]] = {}
        for number, row in enumerate(self.rows):
            terms = list(zip(row.columns, row.coefficients, strict=True))
            if row.soft:
                size = max([1.0] + [abs(side) for side in (row.low, row.high) if math.isfinite(side)])
                slack_of[number] = []
                for side, sign in ((row.low, 1.0), (row.high, -1.0)):
                    if math.isfinite(side):
                        column = eased.variable(gain=-1.0 / size)
                        slack_of[number].append(column)
                        terms.append((column, sign))
            eased.rule(row.sentence, terms, low=row.low, high=row.high)
        answer = eased.solve(gap=1e-4, seconds=seconds)
        if answer.status == "no-plan":
            raise ValueError("the rules that nobody can give way on clash among themselves")
        if not answer.values.size:
            raise TimeoutError(f"no set of promises to give way on was found within {seconds:g} s")
        breaches = [(self.rows[number], sum(float(answer.values[c]) for c in columns))
                    for number, columns in slack_of.items()]  # fmt: skip
        return [(row, amount) for row, amount in breaches if amount > 1e-6]

    def _without_columns(self) -> Answer:
        """Nothing to decide: every rule is about 0, and holds or does not."""
        prices = np.zeros(len(self.rows))
        if all(row.low <= 0.0 <= row.high for row in self.rows):
            return Answer("optimal", 0.0, 0.0, np.zeros(0), prices)
        return Answer("no-plan", -INF, INF, np.zeros(0), prices)

    def _highs_model(self, highspy: Any) -> Any:
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(self.gains), len(self.rows)
        model.col_cost_ = np.asarray(self.gains)
        model.col_lower_, model.col_upper_ = np.asarray(self.lows), np.asarray(self.highs)
        model.row_lower_ = np.asarray([row.low for row in self.rows])
        model.row_upper_ = np.asarray([row.high for row in self.rows])
        model.sense_ = highspy.ObjSense.kMaximize
        if any(self.integer):
            kinds = highspy.HighsVarType
            model.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in self.integer]
        starts = np.cumsum([0] + [len(row.columns) for row in self.rows])
        entries = int(starts[-1])
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = starts
        model.a_matrix_.index_ = np.fromiter(chain.from_iterable(row.columns for row in self.rows),
                                             dtype=np.int32, count=entries)  # fmt: skip
        model.a_matrix_.value_ = np.fromiter(chain.from_iterable(row.coefficients for row in self.rows),
                                             dtype=np.float64, count=entries)  # fmt: skip
        return model

    def _answer(self, highs: Any, highspy: Any) -> Answer:
        info, status, solution = highs.getInfo(), highs.getModelStatus(), highs.getSolution()
        kinds = highspy.HighsModelStatus
        no_prices = np.zeros(len(self.rows))
        if status == kinds.kUnbounded or (status == kinds.kUnboundedOrInfeasible and self._can_hold()):
            raise ValueError("the problem has no upper limit on its gain: a column lacks a rule")
        stopped = status in (kinds.kTimeLimit, kinds.kInterrupt)
        mixed = any(self.integer)
        bound = float(info.mip_dual_bound) if mixed else INF
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            if not stopped and status not in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
                raise RuntimeError(f"the solver stopped without an answer: {status}")
            return Answer(
                "time-limit" if stopped else "no-plan",
                -INF,
                bound if stopped else INF,
                np.zeros(0),
                no_prices,
            )
        objective = float(info.objective_function_value)
        if not mixed and not stopped:
            bound = objective
        close = abs(bound - objective) <= 1e-6 * max(1.0, abs(objective))
        word = "time-limit" if stopped else "optimal" if close else "within-gap"
        prices = no_prices if mixed else np.asarray(solution.row_dual)
        return Answer(word, objective, bound, np.asarray(solution.col_value), prices)

    def _can_hold(self) -> bool:
        """Whether any values at all keep every rule, whatever they gain."""
        gainless = Problem([0.0] * len(self.gains), self.lows, self.highs, self.integer, self.rows)
        return gainless.solve(gap=1.0).status != "no-plan"


@contextmanager
def quiet_stdout() -> Iterator[None]:
    """The solver's library prints a banner on the C-level standard output; keep it out of our results."""
    sys.stdout.flush()
    try:
        keep = os.dup(1)
    except OSError:  # no standard output at all: nothing to protect
        yield
        return
    try:
        with open(os.devnull, "wb") as nothing:
            os.dup2(nothing.fileno(), 1)
            yield
    finally:
        os.dup2(keep, 1)
        os.close(keep)
