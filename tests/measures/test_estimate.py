"""A figure with its spread, against the printed normal table and against plain counting."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import Estimate
from gambrel.measures.estimate import Z90

finite = st.floats(-1e6, 1e6)


def test_z_as_printed() -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.1, 2012: 0.95 lies between the
    printed areas of z = 1.64 (0.94950, 0.44950 from the middle) and z = 1.65 (0.95053)."""
    assert 1.64 < Z90 < 1.65
    assert pytest.approx(1.64 + 0.01 * (0.95 - 0.94950) / (0.95053 - 0.94950), abs=5e-4) == Z90


def test_normal_spread() -> None:
    estimate = Estimate.normal(100.0, 10.0)
    assert (estimate.p05, estimate.mean, estimate.p95) == pytest.approx((83.551, 100.0, 116.449), abs=5e-4)


def test_draws_are_counted() -> None:
    """Of 0, 1, ... 100 the 5th percentile is 5 and the 95th is 95, by counting."""
    draws = np.arange(101.0)
    np.random.default_rng(1).shuffle(draws)
    assert Estimate.from_draws(draws) == Estimate(mean=50.0, p05=5.0, p95=95.0)


def test_a_known_figure_has_no_spread() -> None:
    assert Estimate.exact(365.6).as_json() == {"mean": 365.6, "p05": 365.6, "p95": 365.6}


@given(finite, st.floats(0.0, 1e6), st.floats(-100.0, 100.0))
def test_another_unit_keeps_the_order(mean: float, sd: float, factor: float) -> None:
    changed = Estimate.normal(mean, sd).times(factor)
    assert changed.p05 <= changed.mean <= changed.p95 or changed.mean == pytest.approx(changed.p05)
    assert changed.p95 - changed.p05 == pytest.approx(2 * Z90 * sd * abs(factor), rel=1e-6, abs=1e-4)


@given(st.lists(finite, min_size=1, max_size=50))
def test_the_interval_lies_within_the_draws(values: list[float]) -> None:
    estimate = Estimate.from_draws(np.asarray(values))
    assert min(values) <= estimate.p05 <= estimate.p95 <= max(values)
