"""The week as it is known so far: what all sides share, and for each group only the cuttings found worth a column."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from gambrel.optimize import Answer, Column, GrowingProgram, Watch
from gambrel.plan.decompose.shared import Shared
from gambrel.plan.model import PlanModel
from gambrel.plan.sides import SideGroup

FINE = 30.0
"""Breaking a promise by a kilogram, a minute or a metre costs so many times what a kilogram of the dearest earns."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """One side of a group cut on a day, its choices down the tree; without a day it hangs on.

    `pooled` are its ways of the pieces that go one way for the whole animal.
    """

    group: int
    day: date | None
    choices: tuple[int, ...]
    pooled: tuple[tuple[str, int], ...]
    column: Column

    @property
    def key(self) -> tuple[int, date | None, tuple[int, ...]]:
        return self.group, self.day, self.choices

    def suits(self, other: Cutting) -> bool:
        """Whether two sides of one animal may be cut so: what is pooled goes one way for both."""
        mine = dict(self.pooled)
        return all(mine.get(piece, choice) == choice for piece, choice in other.pooled)


def is_stuck(group: SideGroup) -> bool:
    """Whether its sides must be cut and there is no day for it."""
    return group.must_cut and not group.days


class Master:
    """A linear program over the cuttings known: shared rules, and each group's sides all cut or hanging on.

    A group that can be neither is left out. `fine` says what breaking a soft rule by a unit costs, by its side.
    """

    def __init__(
        self, model: PlanModel, shared: Shared, *, threads: int, watch: Watch | None = None,
        fine: Callable[[float], float] | None = None,
    ) -> None:  # fmt: skip
        counts = np.asarray([0.0 if is_stuck(group) else group.count for group in model.groups], dtype=float)
        self.shared = shared
        self.rules = len(shared.soft)
        self.program = GrowingProgram(
            np.concatenate([shared.rule_lows, counts]), np.concatenate([shared.rule_highs, counts]),
            threads=threads, watch=watch,
        )  # fmt: skip
        one = np.ones(1)
        market = [shared.column(np.asarray([column]), one) for column in shared.market]
        self.program.add([replace(column, high=float(high)) for column, high
                          in zip(market, shared.highs[shared.market], strict=True)])  # fmt: skip
        self.fined: list[int] = []
        self.fines = self._fines(fine)
        self.cuttings: list[Cutting] = []
        self.number: dict[int, list[int]] = {group.number: [] for group in model.groups}
        self._known: set[object] = set()
        self._first = 0

    def _fines(self, fine: Callable[[float], float] | None) -> range:
        """A column for each side of each soft rule that breaks it, dear enough that it is only a last resort."""
        dear = FINE * max(1.0, float(np.max(self.shared.gains[self.shared.market], initial=0.0)))
        columns = []
        for rule in np.flatnonzero(self.shared.soft):
            for side, sign in ((self.shared.rule_lows[rule], 1.0), (self.shared.rule_highs[rule], -1.0)):
                if np.isfinite(side):
                    costs = dear if fine is None else fine(float(side))
                    columns.append(Column(-costs, np.asarray([rule]), np.asarray([sign])))
                    self.fined.append(int(rule))
        first = self.program.add(columns)
        return range(first, first + len(columns))

    def add(self, cuttings: Iterable[Cutting]) -> int:
        """Take in the cuttings that are not known yet; returns how many those were."""
        new: list[Cutting] = []
        for cutting in cuttings:
            if cutting.key not in self._known:
                self._known.add(cutting.key)
                self.number[cutting.group].append(len(self.cuttings) + len(new))
                new.append(cutting)
        first = self.program.add([self._with_group(cutting) for cutting in new])
        if not self.cuttings:
            self._first = first
        self.cuttings.extend(new)
        return len(new)

    def _with_group(self, cutting: Cutting) -> Column:
        column = cutting.column
        rules = np.append(column.rules, self.rules + cutting.group)
        return replace(column, rules=rules, entries=np.append(column.entries, 1.0))

    def sides(self, answer: Answer) -> np.ndarray:
        """How many sides take each cutting."""
        return answer.values[self._first : self._first + len(self.cuttings)]

    def limit(self, cutting: int, low: float, high: float) -> None:
        self.program.limit(self._first + cutting, low, high)

    def broken(self, answer: Answer) -> float:
        """How far promises are broken, all of them added up."""
        return sum(self.breaches(answer).values())

    def breaches(self, answer: Answer) -> dict[int, float]:
        """By soft rule, how far it is broken."""
        much: dict[int, float] = {}
        for rule, column in zip(self.fined, self.fines, strict=True):
            much[rule] = much.get(rule, 0.0) + float(answer.values[column])
        return much

    def prices(self, answer: Answer) -> np.ndarray:
        """What each shared rule is worth."""
        return self.shared.possible(answer.row_prices[: self.rules])

    def worth(self, answer: Answer) -> np.ndarray:
        """What one side more of each group would bring."""
        return answer.row_prices[self.rules :]

    def better(self, cutting: Cutting, answer: Answer) -> bool:
        """Whether the cutting would improve the answer."""
        column = cutting.column
        gain = column.gain - float(column.entries @ answer.row_prices[column.rules])
        worth = float(answer.row_prices[self.rules + cutting.group])
        return gain > worth + 1e-7 * max(1.0, abs(worth))
