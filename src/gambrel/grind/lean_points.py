"""Lean points of the shop's own trim, learned from fat tests of batches.

A trim's true lean is normal about its name with a spread; a test of a batch is the mean of its trims by weight,
with the spread of the test. Both being normal, each test shifts every trim that was in the batch in closed form
(the linear normal model; Gelman and others, Bayesian Data Analysis, 3rd edition, 2013, sections 2.5 and 14.8).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

NAMED_SPREAD_PCT = 3.0
"""How far a tub sorted by eye is from its name, one standard deviation [points]. From memory."""

TEST_SPREAD_PCT = 1.0
"""How far a small shop's fat test is from the truth of the batch, one standard deviation [points]. From memory."""


@dataclass(frozen=True, slots=True)
class LeanTested:
    """A batch that was tested: weight of each sort of trim in it [kg], and the lean found [%]."""

    kg: Mapping[str, float]
    lean_pct: float


@dataclass(frozen=True, slots=True)
class LeanPoint:
    """What a sort of trim holds: the name's figure, the shop's own, its 90 % interval, and how many tests."""

    named_pct: float
    own_pct: float
    low_pct: float
    high_pct: float
    tests_count: int


def learned_lean_points(named_pct: Mapping[str, float], tests: Iterable[LeanTested]) -> dict[str, LeanPoint]:
    """Every sort of `named_pct` with what the tests say of it. A sort without a name there is a mistake of ours."""
    sorts = sorted(named_pct)
    place = {sort: at for at, sort in enumerate(sorts)}
    mean = np.array([named_pct[sort] for sort in sorts], dtype=float)
    spread = np.eye(len(sorts)) * NAMED_SPREAD_PCT**2
    counts = dict.fromkeys(sorts, 0)
    for test in tests:
        total_kg = sum(test.kg.values())
        shares = np.zeros(len(sorts))
        for sort, kg in test.kg.items():
            shares[place[sort]] = kg / total_kg
            counts[sort] += 1
        pulled = spread @ shares
        gain = pulled / (shares @ pulled + TEST_SPREAD_PCT**2)
        mean = mean + gain * (test.lean_pct - shares @ mean)
        spread = spread - np.outer(gain, pulled)
    half = 1.6449 * np.sqrt(np.diag(spread))
    return {
        sort: LeanPoint(
            named_pct[sort],
            float(np.clip(mean[at], 0.0, 100.0)),
            float(np.clip(mean[at] - half[at], 0.0, 100.0)),
            float(np.clip(mean[at] + half[at], 0.0, 100.0)),
            counts[sort],
        )
        for sort, at in place.items()
    }
