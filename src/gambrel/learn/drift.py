"""How fast old cutting tests fade: chosen by how well the past foretold what came after it.

Tests are taken in the order of their days and cut into blocks; each block is foretold from those before it, old ones
fading by one half-life after another, and the half-life whose forecasts gave the later tests the highest probability
is taken (the prequential principle: Dawid, "Statistical theory: the prequential approach", Journal of the Royal
Statistical Society A 147, 1984). A shop that does not drift keeps every test at its full weight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from gambrel.breakdown.composition import Floats
from gambrel.learn.effects import Effects
from gambrel.learn.robust import ROBUST_DF
from gambrel.learn.way_tests import WayTests
from gambrel.learn.yields import YieldModel, regression_rows

HALF_LIVES_DAYS = (None, 720.0, 360.0, 180.0, 90.0, 45.0)
"""Tried in this order; a shorter one must be clearly better than None."""

_CLEARLY = 3.0  # log probability; about twenty to one
_BLOCKS = 12
_FEWEST = 24  # tests of a way, before its past can tell anything of its drift


def choose_half_life_days(ways: Sequence[tuple[YieldModel, WayTests]]) -> float | None:
    """The half-life for the whole shop, from all its ways; each comes as the model before any test and its tests."""
    told = np.zeros(len(HALF_LIVES_DAYS))
    sizes = 0.0
    for model, tests in ways:
        if len(tests) >= _FEWEST:
            scores = _foretold(model, tests)
            told += scores
            sizes += 1.0
    best = int(np.argmax(told))
    return HALF_LIVES_DAYS[best] if told[best] > told[0] + _CLEARLY else None


def _foretold(model: YieldModel, tests: WayTests) -> Floats:
    """Log probability of the later two thirds of the tests, each block told from the ones before, by half-life."""
    steady = model.learned(tests)
    rows, filled = regression_rows(steady, tests)
    spread = steady.effects.solved().spread
    root: Floats = np.asarray(np.linalg.cholesky(spread))
    order = np.argsort(tests.day, kind="stable")
    blocks = np.array_split(order, min(_BLOCKS, len(tests) // 4))
    first = len(blocks) // 3
    scores = []
    for half_life_days in HALF_LIVES_DAYS:
        total = 0.0
        for number in range(first, len(blocks)):
            past, now = np.concatenate(blocks[:number]), blocks[number]
            age = np.ones(len(past))
            if half_life_days is not None:
                age = np.exp2(-(tests.day[now].min() - tests.day[past]) / half_life_days)
            weight = filled.weight[past] * age
            total += _log_told(steady.effects, rows, filled.y, past, now, weight, root, filled.weight)
        scores.append(total)
    return np.array(scores)


def _log_told(effects: Effects, rows: Floats, y: Floats, past: np.ndarray, now: np.ndarray, weight: Floats,
              root: Floats, counts: Floats) -> float:  # fmt: skip
    """Log density, up to a constant, of the tests `now` given those of the `past` with these weights."""
    weighted = rows[past] * weight[:, None]
    sums = replace(effects.sums, xx=rows[past].T @ weighted, xy=weighted.T @ y[past])
    covariance, coefficients = replace(effects, sums=sums).coefficients()
    wide = 1.0 + np.einsum("ij,jk,ik->i", rows[now], covariance, rows[now])
    off = np.linalg.solve(root, (y[now] - rows[now] @ coefficients).T)
    size = len(root)
    far = np.square(off).sum(axis=0) / wide
    log = -0.5 * (ROBUST_DF + size) * np.log1p(far / ROBUST_DF) - 0.5 * size * np.log(wide)
    return float(np.minimum(counts[now], 1.0) @ log)
