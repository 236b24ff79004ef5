"""What this shop yields, one way of breaking a piece: book and own tests together.

`YieldModel.book` knows only the book; `learned` learns from all tests at once, `updated` adds tests to what is known
without looking at the old ones again. `forecast_model` gives the share model that `breakdown.forecast_side` takes.
Everything here is a value and nothing is random: the same tests in the same order give the same model to the last
digit, so a stored model, or the list of its tests, is an edition of the yields.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from gambrel.breakdown.composition import Floats, ilr_basis
from gambrel.breakdown.share_model import ShareModel
from gambrel.learn.effects import Effects, Prior, Solved
from gambrel.learn.robust import Filled, Judged, fill, wild_cells
from gambrel.learn.way_tests import WayTests

_ROUNDS, _TUNED_ROUNDS, _WILD_ROUNDS = 6, (0, 2, 4), (1, 3)


@dataclass(frozen=True)
class YieldModel:
    """Yields of one way. `half_life_days`: a test that old counts half; None where the shop does not drift.

    `known_day` is the day of the newest test, `tests` counts them, `wild` how many weights were set aside.
    """

    parts: tuple[str, ...]
    effects: Effects
    half_life_days: float | None = None
    known_day: float = 0.0
    tests: int = 0
    wild: int = 0

    @classmethod
    def book(cls, book: ShareModel, *, half_life_days: float | None = None) -> YieldModel:
        """Before any test. `book` is the share model of the way, as `breakdown.forecast.book_model` makes it."""
        basis = ilr_basis(len(book.parts))
        spread = (basis * book.relative_sd**2) @ basis.T
        prior = Prior(spread, book.worth, book.df, book.slope_sd, len(book.covariates))
        return cls(book.parts, Effects.none(prior), half_life_days)

    def learned(self, tests: WayTests) -> YieldModel:
        """A model of these tests alone, whatever was known before: robust, gaps and all."""
        fresh = Effects.none(self.effects.prior).with_levels(_levels(tests))
        day = float(np.max(tests.day)) if len(tests) else 0.0
        if not len(tests):
            return replace(self, effects=fresh, known_day=day, tests=0, wild=0)
        rows = fresh.design(tests.covariates, tests.names)
        age = self._age_weight(tests.day, day)
        used = np.isfinite(tests.departure)
        effects, wild = fresh, np.zeros_like(used)
        for number in range(_ROUNDS):
            solved = effects.solved()
            judged = _judged(rows, solved, age if number else None)
            if number in _WILD_ROUNDS:
                wild = wild_cells(tests.departure, judged)
            filled = fill(tests.departure, judged, used & ~wild, age_weight=age)
            effects = _with_sums(fresh, effects, rows, filled)
            if number in _TUNED_ROUNDS:
                effects = effects.tuned()
        return replace(self, effects=effects, known_day=day, tests=len(tests), wild=int(wild.sum()))

    def updated(self, tests: WayTests) -> YieldModel:
        """What is known and these tests, judged by what is known; the scales stay until all is learned anew."""
        if tests.parts != self.parts:
            raise ValueError("tests of another way")
        day = max(self.known_day, float(np.max(tests.day))) if self.tests else float(np.max(tests.day))
        effects = _aged(self.effects, float(self._age_weight(np.array([self.known_day]), day)[0]))
        effects = effects.with_levels(_levels(tests))
        rows = effects.design(tests.covariates, tests.names)
        solved, age = effects.solved(), self._age_weight(tests.day, day)
        judged = _judged(rows, solved, None)
        wild = wild_cells(tests.departure, judged)
        filled = fill(tests.departure, judged, np.isfinite(tests.departure) & ~wild, age_weight=age)
        effects = _with_sums(effects, effects, rows, filled)
        return replace(self, effects=effects, known_day=day, tests=self.tests + len(tests),
                       wild=self.wild + int(wild.sum()))  # fmt: skip

    def forecast_model(self, book: ShareModel, of: Mapping[str, str]) -> ShareModel:
        """The share model of a carcass of this kind, supplier and cutter (`of`, by group; unknown ones left out)."""
        if book.parts != self.parts:
            raise ValueError("the book of another way")
        scale = np.where(np.isfinite(book.scale), book.scale, np.inf)
        fit = self.effects.solved().fit_of(of, centre=np.nan_to_num(book.centre), scale=scale)
        return replace(book, fitted=fit)

    def _age_weight(self, day: Floats, now: float) -> Floats:
        if self.half_life_days is None:
            return np.ones(len(day))
        return np.asarray(np.exp2(-np.maximum(now - day, 0.0) / self.half_life_days))


def regression_rows(model: YieldModel, tests: WayTests) -> tuple[Floats, Filled]:
    """The rows of the regression for tests that `model` has learned from, and their coordinates as it fills them."""
    rows = model.effects.design(tests.covariates, tests.names)
    judged = _judged(rows, model.effects.solved(), np.ones(len(tests)))
    used = np.isfinite(tests.departure) & ~wild_cells(tests.departure, judged)
    return rows, fill(tests.departure, judged, used, age_weight=np.ones(len(tests)))


def _levels(tests: WayTests) -> set[tuple[str, str]]:
    return {(group, name) for group, names in tests.names.items() for name in names}


def _judged(rows: Floats, solved: Solved, age: Floats | None) -> Judged:
    """Tests judged by a fit: one they are part of with the weights `age`, and drew towards themselves, or (None) one
    that has not seen them."""
    own = np.einsum("ij,jk,ik->i", rows, solved.covariance, rows)
    leverage = -own if age is None else own * age
    return Judged(rows @ solved.coefficients, solved.spread, solved.df, leverage)


def _with_sums(empty: Effects, scaled: Effects, rows: Floats, filled: Filled) -> Effects:
    """`empty`'s sums and these tests, with the scales of `scaled`."""
    weighted = rows * filled.weight[:, None]
    sums = replace(
        empty.sums,
        count=empty.sums.count + float(filled.weight.sum()),
        xx=empty.sums.xx + rows.T @ weighted,
        xy=empty.sums.xy + weighted.T @ filled.y,
        yy=empty.sums.yy + (filled.y * filled.weight[:, None]).T @ filled.y + filled.doubt,
    )
    return replace(empty, sums=sums, scales=scaled.scales)


def _aged(effects: Effects, factor: float) -> Effects:
    sums = effects.sums
    aged = replace(
        sums, count=sums.count * factor, xx=sums.xx * factor, xy=sums.xy * factor, yy=sums.yy * factor
    )
    return replace(effects, sums=aged)
