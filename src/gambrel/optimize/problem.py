"""A linear or mixed-integer program built column by column and rule by rule, solved by HiGHS.

Every rule carries a sentence; when no answer exists, `least_breach` says which sentences clash and by how much.
"""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np

INF = math.inf


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
    """What the solver found. `status` is optimal, within-gap, time-limit or no-plan; values are empty on no-plan.

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
    ) -> Answer:
        """Solve to a relative `gap` or until `seconds` have passed, whichever comes first."""
        import highspy

        if not self.gains:
            return Answer("optimal", 0.0, 0.0, np.zeros(0), np.zeros(len(self.rows)))
        with _quiet_stdout():
            highs = highspy.Highs()
            highs.setOptionValue("output_flag", False)
            highs.resetGlobalScheduler(True)
            highs.setOptionValue("threads", threads)
            highs.setOptionValue("mip_rel_gap", gap)
            highs.setOptionValue("time_limit", float(seconds))
            highs.passModel(self._highs_model(highspy))
            if start is not None:
                solution = highspy.HighsSolution()
                solution.col_value = list(start)
                highs.setSolution(solution)
            highs.run()
        return self._answer(highs, highspy, gap)

    def least_breach(self, *, seconds: float = 30.0) -> list[tuple[Row, float]]:
        """The soft rules that must give way, and by how much, for the rest to hold: the smallest weighted breach.

        Each breach is weighed against the size of what its rule asks for, so that a promise is not preferred
        because it is counted in smaller units. Empty when the rules do not clash; `ValueError` when even
        breaking every soft rule does not help.
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
        breaches = [(self.rows[number], sum(float(answer.values[c]) for c in columns))
                    for number, columns in slack_of.items()]  # fmt: skip
        return [(row, amount) for row, amount in breaches if amount > 1e-6]

    def _highs_model(self, highspy: object) -> object:
        model = highspy.HighsLp()  # type: ignore[attr-defined]
        model.num_col_, model.num_row_ = len(self.gains), len(self.rows)
        model.col_cost_ = np.asarray(self.gains)
        model.col_lower_, model.col_upper_ = np.asarray(self.lows), np.asarray(self.highs)
        model.row_lower_ = np.asarray([row.low for row in self.rows])
        model.row_upper_ = np.asarray([row.high for row in self.rows])
        model.sense_ = highspy.ObjSense.kMaximize  # type: ignore[attr-defined]
        kinds = highspy.HighsVarType  # type: ignore[attr-defined]
        if any(self.integer):
            model.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in self.integer]
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise  # type: ignore[attr-defined]
        model.a_matrix_.start_ = np.cumsum([0] + [len(row.columns) for row in self.rows])
        model.a_matrix_.index_ = np.concatenate([np.asarray(row.columns, dtype=int) for row in self.rows] or [np.zeros(0, int)])
        model.a_matrix_.value_ = np.concatenate([np.asarray(row.coefficients) for row in self.rows] or [np.zeros(0)])
        return model

    def _answer(self, highs: object, highspy: object, gap: float) -> Answer:
        info = highs.getInfo()  # type: ignore[attr-defined]
        status = highs.getModelStatus()  # type: ignore[attr-defined]
        kinds = highspy.HighsModelStatus  # type: ignore[attr-defined]
        solution = highs.getSolution()  # type: ignore[attr-defined]
        if status in (kinds.kUnbounded, kinds.kUnboundedOrInfeasible) and not any(math.isinf(h) for h in self.highs):
            status = kinds.kInfeasible
        if status == kinds.kUnbounded:
            raise ValueError("the problem has no upper limit on its gain: a column lacks a rule")
        found = info.primal_solution_status == 2
        if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible) or not found:
            word = "no-plan" if status != kinds.kTimeLimit else "time-limit"
            return Answer(word, -INF, INF, np.zeros(0), np.zeros(len(self.rows)))
        mixed = any(self.integer)
        objective = float(info.objective_function_value)
        bound = float(info.mip_dual_bound) if mixed else objective
        if status == kinds.kTimeLimit:
            word = "time-limit"
        else:
            word = "optimal" if abs(bound - objective) <= 1e-6 * max(1.0, abs(objective)) else "within-gap"
        prices = np.asarray(solution.row_dual) if not mixed else np.zeros(len(self.rows))
        return Answer(word, objective, bound, np.asarray(solution.col_value), prices)


@contextmanager
def _quiet_stdout() -> Iterator[None]:
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
