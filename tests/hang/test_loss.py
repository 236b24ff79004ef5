"""The loss curve before any weighing: shape, limits, cover, small sides, a shop's own kinds, draws."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.kinds import MARKS, Kind, read_kinds, shipped_kinds
from gambrel.hang.figures import PARAMETERS, loss_figures, packaged_table
from gambrel.hang.loss import LossModel
from gambrel.measures import CannotDo, Findings
from gambrel.measures.estimate import Z90

KINDS = shipped_kinds()
kinds = st.sampled_from(sorted(KINDS))
fats = st.none() | st.floats(0.0, 75.0)
sides = st.none() | st.floats(30.0, 450.0)


def own_kind(**fields: object) -> Kind:
    findings = Findings()
    made = read_kinds({"own": fields}, KINDS, findings)
    findings.stop_if_any()
    return made["own"]


@given(kinds, fats, sides, st.lists(st.floats(0.0, 28.0), min_size=2, max_size=12))
def test_weight_never_rises_and_stays_between_nothing_and_hot(kind, fat_mm, side_kg, days):
    model = LossModel.prior(KINDS[kind], fat_mm=fat_mm, side_hot_kg=side_kg)
    left = [model.remaining_mean(day) for day in sorted(days)]
    assert all(before >= after for before, after in pairwise(left))
    assert all(0.0 <= one <= 1.0 for one in left)


@given(kinds, fats, sides, st.floats(0.0, 28.0))
def test_interval_holds_the_mean_and_stays_between_nothing_and_hot(kind, fat_mm, side_kg, day):
    left = LossModel.prior(KINDS[kind], fat_mm=fat_mm, side_hot_kg=side_kg).remaining_share(day)
    assert 0.0 <= left.p05 <= left.mean <= left.p95 <= 1.0


@given(kinds, st.floats(0.0, 40.0), st.floats(0.0, 40.0), st.floats(0.01, 28.0))
def test_thinner_cover_loses_more(kind, one_mm, other_mm, day):
    thin, thick = sorted((one_mm, other_mm))
    left = [
        LossModel.prior(KINDS[kind], fat_mm=fat, side_hot_kg=150.0).remaining_mean(day)
        for fat in (thin, thick)
    ]
    assert left[0] <= left[1]


def test_nothing_is_lost_before_it_hangs():
    left = LossModel.prior(KINDS["bison"], fat_mm=None).remaining_share(0.0)
    assert (left.mean, left.p05, left.p95) == (1.0, 1.0, 1.0)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_days_beyond_the_source_are_refused(kind):
    model = LossModel.prior(KINDS[kind], fat_mm=None)
    model.remaining_mean(model.last_day)
    for day in (-0.1, model.last_day + 0.1, math.nan, math.inf):
        with pytest.raises(CannotDo, match="The figures stop there") as refusal:
            model.remaining_share(day)
        assert f"0 to {model.last_day:g} days" in refusal.value.findings[0].wanted


def test_the_curve_by_hand_from_the_table_of_figures():
    """chill + early (1 - exp(-(14-1)/5)) + 13 days, at the very cover the row is for: plain arithmetic."""
    row = packaged_table("loss.toml")["kind"]["grain-finished"]
    model = LossModel.prior(KINDS["grain-finished"], fat_mm=row["at_fat_mm"], side_hot_kg=180.0)
    chill, early, daily = (row[name][0] for name in PARAMETERS)
    assert 1 - model.remaining_mean(14.0) == pytest.approx(
        chill + early * (1 - math.exp(-13 / 5)) + 13 * daily
    )
    spread = math.sqrt(sum((share * row[name][1]) ** 2 for share, name in
                           zip((1.0, 1 - math.exp(-13 / 5), 13.0), PARAMETERS, strict=True)))  # fmt: skip
    left = model.remaining_share(14.0)
    assert left.p95 - left.p05 == pytest.approx(2 * Z90 * spread)


def test_unknown_fat_widens_the_spread():
    kind = KINDS["grass-finished"]
    known = LossModel.prior(kind, fat_mm=kind.fat_mm.mean)
    unknown = LossModel.prior(kind, fat_mm=None)
    assert unknown.remaining_mean(10.0) == pytest.approx(known.remaining_mean(10.0))
    assert unknown.remaining_sd(10.0) > known.remaining_sd(10.0)


def test_every_figure_carries_a_mark_and_a_source():
    table = packaged_table("loss.toml")
    for slug, row in table["kind"].items():
        for name in PARAMETERS:
            mean, sd, mark, source = row[name]
            assert mean > 0 and sd > 0 and mark in MARKS and len(source) > 10, (slug, name)
    for group in ("cover", "small_side", "weighing"):
        for name, (_, mark, source) in table[group].items():
            assert mark in MARKS and len(source) > 10, name


def test_a_shops_own_kind_takes_the_figures_of_the_kind_it_is_like():
    cross = own_kind(like="wagyu", name="Wagyu cross")
    for day in (1.0, 14.0, 40.0):
        assert LossModel.prior(cross, fat_mm=12.0).remaining_mean(day) == pytest.approx(
            LossModel.prior(KINDS["wagyu"], fat_mm=12.0).remaining_mean(day)
        )


def test_a_shops_own_thin_kind_loses_more_than_the_kind_it_is_like():
    thin = own_kind(like="grain-finished", name="cull cow", fat_mm=[3.0, 1.0])
    assert LossModel.prior(thin, fat_mm=None).remaining_mean(7.0) < LossModel.prior(
        KINDS["grain-finished"], fat_mm=None
    ).remaining_mean(7.0)


def test_every_shipped_kind_has_a_row_of_its_own():
    assert set(loss_figures().kinds) == set(KINDS)


def test_draws_agree_with_the_interval():
    model = LossModel.prior(KINDS["grain-finished"], fat_mm=12.0)
    drawn = model.draw_remaining(14.0, 40_000, np.random.default_rng(5))
    left = model.remaining_share(14.0)
    assert drawn.shape == (40_000,) and drawn.min() >= 0.0 and drawn.max() <= 1.0
    assert np.percentile(drawn, (5, 95)) == pytest.approx((left.p05, left.p95), abs=5e-4)
    assert np.mean(drawn) == pytest.approx(left.mean, abs=2e-4)


def test_draws_repeat_with_the_seed():
    model = LossModel.prior(KINDS["bison"], fat_mm=None)
    one, same = (model.draw_remaining(7.0, 50, np.random.default_rng(9)) for _ in range(2))
    assert np.array_equal(one, same)


def test_a_scale_reading_is_less_sure_than_the_weight():
    model = LossModel.prior(KINDS["bison"], fat_mm=None)
    weight, reading = model.remaining_share(7.0), model.weighed_share(7.0)
    assert reading.p05 < weight.p05 < weight.p95 < reading.p95
    with pytest.raises(ValueError, match="above 0"):
        model.with_noise(0.0)
