"""Learning from weighings, against the posterior worked out in other ways than the program's."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from gambrel.catalog.kinds import shipped_kinds
from gambrel.hang.loss import LossModel

KINDS = shipped_kinds()


def lost(day: float, chill: float, early: float, daily: float) -> float:
    """The curve written down a second time: chill up to day 1, then early and steady loss."""
    if day <= 1:
        return chill * (1 - math.exp(-day)) / (1 - math.exp(-1))
    return chill + early * (1 - math.exp(-(day - 1) / 5)) + daily * (day - 1)


weighings = st.lists(st.tuples(st.floats(0.0, 28.0), st.floats(-0.01, 0.2)), min_size=1, max_size=10)


def test_posterior_mean_and_spread_by_brute_force_integration():
    """Bayes' rule on a grid of 81 x 81 x 81 parameters with scipy's normal densities."""
    model = LossModel.prior(KINDS["grain-finished"], fat_mm=12.0)
    days, seen = [1.0, 3.0, 8.0, 14.0], [0.018, 0.026, 0.037, 0.052]
    sd = [math.sqrt(model.covariance[i][i]) for i in range(3)]
    axes = [np.linspace(model.mean[i] - 6 * sd[i], model.mean[i] + 6 * sd[i], 81) for i in range(3)]
    chill, early, daily = np.meshgrid(*axes, indexing="ij")
    log = sum(stats.norm.logpdf(value, model.mean[i], sd[i]) for i, value in enumerate((chill, early, daily)))
    for day, share in zip(days, seen, strict=True):
        curve = chill * lost(day, 1, 0, 0) + early * lost(day, 0, 1, 0) + daily * lost(day, 0, 0, 1)
        log = log + stats.norm.logpdf(share, curve, model.noise_share)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    learned = model.updated(days, seen)
    for i, value in enumerate((chill, early, daily)):
        mean = float((weight * value).sum())
        assert learned.mean[i] == pytest.approx(mean, rel=2e-3, abs=1e-6)
        spread = math.sqrt(float((weight * (value - mean) ** 2).sum()))
        assert math.sqrt(learned.covariance[i][i]) == pytest.approx(spread, rel=0.01)
    left = weight * (1 - (chill + early * (1 - math.exp(-4)) + 20 * daily))
    assert learned.remaining_mean(21.0) == pytest.approx(float(left.sum()), abs=1e-5)


@given(weighings)
def test_equals_conditioning_of_one_joint_normal(rows):
    """Weighings and parameters as one normal vector, conditioned by its covariance blocks."""
    model = LossModel.prior(KINDS["bison"], fat_mm=5.0)
    days, seen = [day for day, _ in rows], np.array([share for _, share in rows])
    design = np.array([[lost(day, *unit) for unit in np.eye(3).tolist()] for day in days])
    prior = np.array(model.covariance)
    of_data = design @ prior @ design.T + model.noise_share**2 * np.eye(len(days))
    gain = np.linalg.solve(of_data, design @ prior).T
    mean = np.array(model.mean) + gain @ (seen - design @ np.array(model.mean))
    learned = model.updated(days, seen.tolist())
    assert np.allclose(learned.mean, mean, rtol=1e-6, atol=1e-9)
    assert np.allclose(learned.covariance, prior - gain @ design @ prior, rtol=1e-5, atol=1e-12)


@given(weighings, st.randoms(use_true_random=False))
def test_order_of_weighings_does_not_matter(rows, shuffle):
    model = LossModel.prior(KINDS["wagyu"], fat_mm=None)
    other = list(rows)
    shuffle.shuffle(other)
    one, two = (model.updated(*zip(*table, strict=True)) for table in (rows, other))
    assert np.allclose(one.mean, two.mean, rtol=1e-8, atol=1e-12)
    assert np.allclose(one.covariance, two.covariance, rtol=1e-8, atol=1e-16)


@given(weighings)
def test_one_by_one_is_the_same_as_all_at_once(rows):
    model = LossModel.prior(KINDS["grass-finished"], fat_mm=None)
    step = model
    for day, share in rows:
        step = step.updated([day], [share])
    whole = model.updated(*zip(*rows, strict=True))
    assert np.allclose(step.mean, whole.mean, rtol=1e-6, atol=1e-9)
    assert step.weighings == whole.weighings == len(rows)


@given(weighings, st.floats(0.0, 28.0))
def test_no_weighing_makes_the_weight_less_sure(rows, day):
    model = LossModel.prior(KINDS["bison"], fat_mm=None)
    assert model.updated(*zip(*rows, strict=True)).remaining_sd(day) <= model.remaining_sd(day) * (1 + 1e-9)


@given(weighings)
def test_weight_never_rises_however_odd_the_weighings(rows):
    learned = LossModel.prior(KINDS["grain-finished"], fat_mm=None).updated(*zip(*rows, strict=True))
    left = [learned.remaining_mean(day / 4) for day in range(4 * 55 + 1)]
    assert all(before >= after - 1e-12 for before, after in pairwise(left))
    assert all(0.0 <= one <= 1.0 for one in left)


def test_many_weighings_find_the_curve_they_came_from():
    rng = np.random.default_rng(11)
    days = [float(day) for day in range(1, 22)] * 8
    seen = [lost(day, 0.020, 0.009, 0.0030) + rng.normal(0, 0.002) for day in days]
    learned = LossModel.prior(KINDS["grain-finished"], fat_mm=12.0).updated(days, seen)
    for day in (1.0, 7.0, 14.0, 21.0):
        assert 1 - learned.remaining_mean(day) == pytest.approx(lost(day, 0.020, 0.009, 0.0030), abs=7e-4)


def test_no_weighings_change_nothing():
    model = LossModel.prior(KINDS["bison"], fat_mm=None)
    assert model.updated([], []) is model


def test_misuse_raises():
    model = LossModel.prior(KINDS["bison"], fat_mm=None)
    with pytest.raises(ValueError, match="one lost_share"):
        model.updated([1.0], [])
    with pytest.raises(ValueError, match="finite"):
        model.updated([1.0], [math.nan])


@pytest.mark.parametrize("weighed", [(), (1.0,), (1.0, 4.0, 9.0)])
def test_interval_holds_the_weight_nine_times_in_ten(weighed):
    """1,500 sides simulated apart: parameters drawn, weighed with noise, then hung to day 14."""
    rng = np.random.default_rng(23)
    prior = LossModel.prior(KINDS["grain-finished"], fat_mm=14.2, side_hot_kg=180.0)
    inside = 0
    for _ in range(1500):
        # The same prior, from the table: 1.46 +- 0.5 % chill, 0.5 +- 0.3 % early, 0.21 +- 0.05 % a day.
        side = rng.normal(0.0146, 0.005), rng.normal(0.005, 0.003), rng.normal(0.0021, 0.0005)
        seen = [lost(day, *side) + rng.normal(0, 0.002) for day in weighed]
        left = prior.updated(weighed, seen).remaining_share(14.0)
        inside += left.p05 <= 1 - lost(14.0, *side) <= left.p95
    # Standard error of the share inside: 0.0077.
    assert inside / 1500 == pytest.approx(0.90, abs=0.025)
