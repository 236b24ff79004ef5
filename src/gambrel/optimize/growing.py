"""A linear program that gets columns while it is solved over and over: each answer starts from the one before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gambrel.optimize.problem import Answer, quiet_stdout
from gambrel.optimize.watch import Listener, Watch


@dataclass(frozen=True, slots=True)
class Column:
    """A column yet to be added: what a unit of it gains, its limits, and its entries by rule."""

    gain: float
    rules: np.ndarray
    entries: np.ndarray
    low: float = 0.0
    high: float = np.inf


class GrowingProgram:
    """Maximises gain under rules `lows` <= sum of entries <= `highs`, all laid down at the start.

    HiGHS keeps its basis between `solve` and `solve`, which is what makes a few columns more cheap.
    """

    def __init__(
        self, lows: np.ndarray, highs: np.ndarray, *, threads: int = 1, watch: Watch | None = None
    ) -> None:
        import highspy

        self.rules = len(lows)
        with quiet_stdout():
            self._highs = highspy.Highs()  # type: ignore[no-untyped-call]
            self._highs.setOptionValue("output_flag", False)
            self._highs.setOptionValue("threads", threads)
            model = highspy.HighsLp()
            model.num_col_, model.num_row_ = 0, self.rules
            model.row_lower_, model.row_upper_ = np.asarray(lows, float), np.asarray(highs, float)
            model.sense_ = highspy.ObjSense.kMaximize
            model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
            model.a_matrix_.start_ = np.zeros(1, dtype=np.int32)
            self._highs.passModel(model)
        self._listener = None if watch is None else Listener(self._highs, watch)

    def add(self, columns: Sequence[Column]) -> int:
        """The number of the first of the new columns; the others follow it."""
        first = int(self._highs.getNumCol())
        if columns:
            lengths = [len(column.rules) for column in columns]
            starts = np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.int32)
            self._highs.addCols(
                len(columns),
                np.array([column.gain for column in columns], dtype=float),
                np.array([column.low for column in columns], dtype=float),
                np.array([column.high for column in columns], dtype=float),
                sum(lengths), starts,
                np.concatenate([column.rules for column in columns]).astype(np.int32),
                np.concatenate([column.entries for column in columns]).astype(float),
            )  # fmt: skip
        return first

    def limit(self, column: int, low: float, high: float) -> None:
        """New limits for a column."""
        self._highs.changeColBounds(column, float(low), float(high))

    def gain(self, column: int, gain: float) -> None:
        """A new gain for a column."""
        self._highs.changeColCost(column, float(gain))

    def solve(self, *, seconds: float) -> Answer:
        """An optimal answer with its values and rule prices, or one without values: no-plan, or time-limit."""
        import highspy

        highs, kinds = self._highs, highspy.HighsModelStatus
        with quiet_stdout():
            # HiGHS keeps one pool of threads for all programs, and another one may have changed it in between.
            highs.resetGlobalScheduler(True)
            # Its clock goes on from one answer to the next.
            highs.setOptionValue("time_limit", highs.getRunTime() + max(0.0, seconds))
            highs.run()
            if highs.getModelStatus() == kinds.kUnknown:
                # The basis it started from had grown too crooked: from none at all it is solved.
                highs.clearSolver()
                highs.run()
        if self._listener is not None:
            self._listener.end()
        status = highs.getModelStatus()
        if status == kinds.kOptimal:
            gained = float(highs.getInfo().objective_function_value)
            found = highs.getSolution()
            return Answer("optimal", gained, gained, np.asarray(found.col_value), np.asarray(found.row_dual))
        if status in (kinds.kInfeasible, kinds.kUnboundedOrInfeasible):
            return Answer("no-plan", -np.inf, np.inf, np.zeros(0), np.zeros(self.rules))
        if status in (kinds.kTimeLimit, kinds.kInterrupt):
            return Answer("time-limit", -np.inf, np.inf, np.zeros(0), np.zeros(self.rules))
        raise RuntimeError(f"the solver stopped without an answer: {status}")
