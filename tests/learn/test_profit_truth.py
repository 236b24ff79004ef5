"""Profit forecast against profit that came, by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from gambrel.learn.profit_truth import AnimalProfit, profit_truth
from gambrel.measures import Estimate

DAY = date(2026, 3, 2)


def animal(name: str, kind: str, forecast: float, actual: float, *, half: float = 100.0) -> AnimalProfit:
    return AnimalProfit(name, kind, DAY, Estimate(forecast, forecast - half, forecast + half), actual)


THREE = [
    animal("07", "bison", 1000.0, 1030.0),
    animal("08", "bison", 1000.0, 1150.0),
    animal("09", "grain", 500.0, 450.0),
]


def test_all_animals_by_hand() -> None:
    """30, 150 and -50 beyond: mean 43.33, spread 100.66, t 2.920 with 2 df (NIST, 1.3.6.7.2, 2012)."""
    whole = profit_truth(THREE)[0]
    assert (whole.kind, whole.animals) == ("", 3)
    assert (whole.forecast_cents, whole.actual_cents) == (2500.0, 2630.0)
    assert whole.over_cents.mean == pytest.approx(130.0 / 3)
    assert whole.over_cents.p95 - whole.over_cents.mean == pytest.approx(2.920 * 100.664 / 3**0.5, rel=1e-3)
    assert whole.off_cents == pytest.approx(230.0 / 3)
    assert whole.inside_share == pytest.approx(2 / 3)
    assert not whole.leans


def test_kinds_come_by_name_and_add_up() -> None:
    whole, bison, grain = profit_truth(THREE)
    assert (bison.kind, grain.kind) == ("bison", "grain")
    assert bison.actual_cents + grain.actual_cents == whole.actual_cents
    assert bison.over_cents.mean == pytest.approx(90.0)
    assert grain.over_cents == Estimate(-50.0, -50.0, -50.0) and not grain.leans  # one animal has no interval


def test_a_forecast_that_is_always_too_high_leans() -> None:
    rng = np.random.default_rng(1)
    off = [animal(str(n), "bison", 1000.0, 1000.0 - 80.0 + float(rng.normal(0.0, 60.0))) for n in range(20)]
    assert profit_truth(off)[0].leans


def test_a_true_forecast_leans_one_time_in_ten() -> None:
    rng = np.random.default_rng(2)
    lean = [
        profit_truth([animal(str(n), "bison", 0.0, float(rng.normal(0.0, 60.0))) for n in range(6)])[0].leans
        for _ in range(400)
    ]
    assert sum(lean) / 400 == pytest.approx(0.10, abs=4.0 * (0.1 * 0.9 / 400) ** 0.5)


def test_no_animal_says_nothing_and_the_ends_are_inside() -> None:
    assert profit_truth([]) == ()
    assert animal("07", "bison", 100.0, 200.0).is_inside and not animal("07", "bison", 100.0, 200.1).is_inside
