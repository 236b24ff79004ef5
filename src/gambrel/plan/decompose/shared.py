"""What sides share: every column's entries in the rules that hold for all sides together, kept as arrays."""

from __future__ import annotations

from itertools import chain

import numpy as np

from gambrel.optimize import Column
from gambrel.plan.model import PlanModel
from gambrel.plan.rules import RULES
from gambrel.plan.rules_pieces import (
    a_pooled_piece_goes_one_way_for_the_animal,
    each_piece_is_broken_one_way,
    each_side_is_cut_by_its_latest_day,
)

OWN_RULES = frozenset((
    each_side_is_cut_by_its_latest_day, each_piece_is_broken_one_way, a_pooled_piece_goes_one_way_for_the_animal,
))  # fmt: skip
"""R1 to R3: each holds for one group of sides by itself."""

MOST = 1e6
"""No column that is without a limit of its own (kilograms, minutes) comes near this in a week of 500 animals."""


def lay_down_shared(model: PlanModel) -> None:
    """Add every rule that is not one group's own to the model's problem."""
    for rule in RULES:
        if rule not in OWN_RULES:
            rule(model)


class Shared:
    """The shared rules of a model that was built with no others.

    `own` tells the columns that belong to one group of sides; all others, what is sold or ground or left, are
    the market's. Rules are numbered as in the model's problem.
    """

    def __init__(self, model: PlanModel) -> None:
        problem = model.problem
        self.gains = np.asarray(problem.gains, dtype=float)
        self.highs = np.asarray(problem.highs, dtype=float)
        self.rule_lows = np.asarray([row.low for row in problem.rows], dtype=float)
        self.rule_highs = np.asarray([row.high for row in problem.rows], dtype=float)
        self.soft = np.asarray([row.soft for row in problem.rows], dtype=bool)
        self.own = np.zeros(len(self.gains), dtype=bool)
        for columns in (model.cut, model.chosen, model.hang_on, model.settled):
            self.own[list(columns.values())] = True
        self.market = np.flatnonzero(~self.own)
        count = sum(len(row.columns) for row in problem.rows)
        of = np.fromiter(chain.from_iterable(row.columns for row in problem.rows), np.int64, count)
        entries = np.fromiter(chain.from_iterable(row.coefficients for row in problem.rows), float, count)
        rules = np.repeat(np.arange(len(problem.rows)), [len(row.columns) for row in problem.rows])
        by_column = np.argsort(of, kind="stable")
        self._of, self._rules, self._entries = of[by_column], rules[by_column], entries[by_column]
        self._starts = np.searchsorted(self._of, np.arange(len(self.gains) + 1))

    def possible(self, prices: np.ndarray) -> np.ndarray:
        """`prices` without those of the wrong sign: a rule without an upper side is worth nothing to raise."""
        wrong = (prices > 0) & np.isinf(self.rule_highs) | (prices < 0) & np.isinf(self.rule_lows)
        return np.where(wrong, 0.0, prices)

    def gains_at(self, prices: np.ndarray) -> np.ndarray:
        """What one more of each column gains when it pays for what it takes of the shared rules."""
        paid = np.bincount(self._of, self._entries * prices[self._rules], minlength=len(self.gains))
        return np.asarray(self.gains - paid)

    def market_bound(self, prices: np.ndarray, gains_at: np.ndarray) -> float:
        """The most that shared rules and market can gain at these prices, sides apart."""
        sides = np.where(prices > 0, self.rule_highs, self.rule_lows)
        limits = float(np.sum(prices[prices != 0] * sides[prices != 0]))
        gains, highs = gains_at[self.market], self.highs[self.market]
        earning = gains > 0
        return limits + float(np.sum(gains[earning] * np.minimum(highs[earning], MOST)))

    def column(self, columns: np.ndarray, amounts: np.ndarray) -> Column:
        """So much of each of these columns as one: its gain and its entries in the shared rules."""
        starts, ends = self._starts[columns], self._starts[columns + 1]
        which = np.concatenate([np.arange(start, end) for start, end in zip(starts, ends, strict=True)])
        entries = np.bincount(
            self._rules[which],
            self._entries[which] * np.repeat(amounts, ends - starts),
            minlength=len(self.soft),
        )
        there = np.flatnonzero(np.abs(entries) > 1e-12)
        return Column(float(self.gains[columns] @ amounts), there, entries[there])
