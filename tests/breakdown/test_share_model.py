"""The share model: contract, conjugate algebra against other routes, honesty on made and on measured cattle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from gambrel.breakdown import ShareModel
from gambrel.breakdown.composition import to_coordinates
from gambrel.breakdown.evidence import Sums, fit_scales

PARTS = ("lean", "fat", "bone", "loss")
MEAN = np.array([0.60, 0.22, 0.17, 0.01])


def made_tests(count: int, seed: int = 3) -> tuple[np.ndarray, np.ndarray]:
    """Carcasses written apart from the model: log-normal parts, fat rising with the first covariate."""
    rng = np.random.default_rng(seed)
    fat_mm = rng.normal(12.0, 4.0, count)
    raw = MEAN * np.exp(rng.normal(0.0, [0.03, 0.10, 0.05, 0.3], (count, 4)))
    raw[:, 1] *= np.exp(0.04 * (fat_mm - 12.0))
    return raw / raw.sum(axis=1, keepdims=True), fat_mm[:, None]


def test_as_in_the_contract() -> None:
    model = ShareModel.from_prior(PARTS, MEAN, worth=3, covariates=("fat_mm",))
    shares, fat = made_tests(6)
    taught = model.update(shares, fat)
    draws = taught.forecast(fat[:2], draws=4000, seed=1)
    assert draws.shape == (4000, 2, 4)
    np.testing.assert_allclose(draws.sum(axis=-1), 1.0, atol=1e-12)
    assert np.all(draws >= 0.0)
    assert model.tests == 0 and taught.tests == 6


def test_same_seed_same_draws_other_seed_others() -> None:
    model = ShareModel.from_prior(PARTS, MEAN)
    assert np.array_equal(model.forecast(draws=50, seed=4), model.forecast(draws=50, seed=4))
    assert not np.array_equal(model.forecast(draws=50, seed=4), model.forecast(draws=50, seed=5))


def test_the_book_alone_forecasts_the_book_in_the_middle() -> None:
    draws = ShareModel.from_prior(PARTS, MEAN).forecast(draws=20_000, seed=1)[:, 0]
    np.testing.assert_allclose(np.median(draws, axis=0), MEAN, rtol=0.02)


@settings(max_examples=25, deadline=None)
@given(st.permutations(range(8)), st.integers(1, 7))
def test_tests_may_come_in_any_order_and_any_number_at_a_time(order: list[int], cut: int) -> None:
    shares, fat = made_tests(8)
    model = ShareModel.from_prior(PARTS, MEAN, worth=2, covariates=("fat_mm",))
    at_once = model.update(shares, fat)
    order = np.array(order)
    bit_by_bit = model.update(shares[order[:cut]], fat[order[:cut]]).update(
        shares[order[cut:]], fat[order[cut:]]
    )
    np.testing.assert_allclose(bit_by_bit.mean(fat), at_once.mean(fat), rtol=1e-8)
    np.testing.assert_allclose(bit_by_bit._fit.spread, at_once._fit.spread, rtol=1e-6, atol=1e-12)


def test_coefficients_are_ridge_regression_with_the_same_weights() -> None:
    from sklearn.linear_model import Ridge

    shares, fat = made_tests(30)
    y = to_coordinates(shares) - to_coordinates(MEAN)
    fit = fit_scales(Sums.none(1, 3).plus(fat, y), spread=np.eye(3) * 0.01, worth=1e-9, df=4.0, slope_sd=1.0,
                     centre=np.array([np.nan]), scale=np.array([np.nan]))  # fmt: skip
    z = (fat - fat.mean()) / fat.std()
    # The weight that the evidence chose for the slope, read back from the fit's own normal matrix.
    normal = np.linalg.inv(fit.root @ fit.root.T)
    alpha = normal[1, 1] - (z**2).sum()
    ridge = Ridge(alpha=alpha).fit(z, y)
    np.testing.assert_allclose(fit.coefficients[1], ridge.coef_[:, 0], rtol=1e-6)


def test_forecast_without_covariates_is_the_textbook_student_t() -> None:
    """One coordinate, scales held: the normal-inverse-gamma predictive, from scipy."""
    shares = np.array([[0.62, 0.38], [0.58, 0.42], [0.60, 0.40], [0.65, 0.35]])
    model = ShareModel.from_prior(("a", "b"), [0.6, 0.4], worth=2.0, df=5.0, relative_sd=0.05).update(shares)
    fit = model._fit
    draws = model.forecast(draws=40_000, seed=2)[:, 0]
    y = to_coordinates(draws)[:, 0]
    scale = np.sqrt(fit.spread[0, 0] * (1.0 + (fit.root @ fit.root.T)[0, 0]))
    middle = to_coordinates(np.array([0.6, 0.4]))[0] + fit.coefficients[0, 0]
    expected = stats.t(df=fit.df, loc=middle, scale=scale)
    assert fit.df == 9.0
    assert stats.kstest(y, expected.cdf).pvalue > 0.001


def test_own_tests_pull_the_forecast_from_the_book_and_narrow_it() -> None:
    shares, fat = made_tests(25)
    book = ShareModel.from_prior(PARTS, [0.5, 0.3, 0.19, 0.01], worth=3, covariates=("fat_mm",))
    taught = book.update(shares, fat)
    assert abs(taught.mean(fat.mean()[None, None])[0, 0] - 0.60) < 0.02
    width = [
        np.ptp(np.percentile(m.forecast([[12.0]], draws=4000, seed=1)[:, 0, 0], (5, 95)))
        for m in (book, taught)
    ]
    assert width[1] < 0.5 * width[0]


def test_the_slope_is_found() -> None:
    shares, fat = made_tests(60)
    taught = ShareModel.from_prior(PARTS, MEAN, covariates=("fat_mm",)).update(shares, fat)
    lean, fatty = taught.mean(np.array([[6.0], [18.0]]))
    # Fat over lean rises by exp(0.04 * 12) between 6 and 18 mm by construction.
    assert np.log((fatty[1] / fatty[0]) / (lean[1] / lean[0])) == pytest.approx(0.48, abs=0.12)


def test_intervals_hold_on_made_carcasses() -> None:
    inside = []
    for seed in range(30):
        shares, fat = made_tests(28, seed=seed)
        model = ShareModel.from_prior(PARTS, MEAN, covariates=("fat_mm",)).update(shares[:8], fat[:8])
        low, high = np.percentile(model.forecast(fat[8:], draws=800, seed=seed), (5, 95), axis=0)
        inside.append(((shares[8:] >= low) & (shares[8:] <= high)).mean())
    assert 0.85 <= np.mean(inside) <= 0.96


def test_an_offset_moves_the_parts_and_is_taken_off_again_when_learning() -> None:
    offset = np.log(np.array([0.9, 1.4, 1.0, 1.0]))
    model = ShareModel.from_prior(PARTS, MEAN)
    moved = model.mean(offset=offset)[0]
    np.testing.assert_allclose(moved, MEAN * np.exp(offset) / (MEAN * np.exp(offset)).sum(), rtol=1e-9)
    taught = model.update(np.tile(moved, (5, 1)), offset=offset)
    np.testing.assert_allclose(taught.mean()[0], MEAN, rtol=1e-6)


def test_gaps_and_zeros_teach_what_they_can() -> None:
    shares, _ = made_tests(12)
    partial = shares.copy()
    partial[::2, 3] = np.nan
    partial[1::2, 1] += partial[1::2, 3]
    partial[1::2, 3] = 0.0
    whole = ShareModel.from_prior(PARTS, MEAN).update(shares)
    taught = ShareModel.from_prior(PARTS, MEAN).update(partial)
    assert taught.tests == 12
    np.testing.assert_allclose(taught.mean()[0, :3], whole.mean()[0, :3], rtol=0.03)


def test_a_covariate_that_never_varied_is_left_out() -> None:
    shares, _ = made_tests(10)
    steady = np.full((10, 1), 7.0)
    taught = ShareModel.from_prior(PARTS, MEAN, covariates=("sex",)).update(shares, steady)
    np.testing.assert_allclose(taught.mean([[7.0]]), taught.mean([[900.0]]))


@pytest.mark.parametrize(
    "given",
    [
        {"parts": ("a",), "mean_shares": [1.0]},
        {"parts": ("a", "a"), "mean_shares": [0.5, 0.5]},
        {"parts": ("a", "b"), "mean_shares": [0.5, 0.0]},
        {"parts": ("a", "b"), "mean_shares": [0.5, 0.3, 0.2]},
        {"parts": ("a", "b"), "mean_shares": [0.5, float("nan")]},
        {"parts": ("a", "b"), "mean_shares": [0.5, 0.5], "worth": 0},
        {"parts": ("a", "b"), "mean_shares": [0.5, 0.5], "scale": [1.0, 2.0]},
    ],
)
def test_malformed_priors_raise(given: dict) -> None:
    with pytest.raises(ValueError):
        ShareModel.from_prior(**given)


@pytest.mark.parametrize(
    "row", [[0.5, 0.6, 0.2, 0.1], [-0.1, 0.5, 0.5, 0.1], [0.0, 0.0, 0.0, 0.0], [np.nan] * 4, [0.5, 0.5]]
)
def test_malformed_tests_raise(row: list[float]) -> None:
    with pytest.raises(ValueError):
        ShareModel.from_prior(PARTS, MEAN).update(np.array([row]))


def test_wrong_covariates_raise() -> None:
    model = ShareModel.from_prior(PARTS, MEAN, covariates=("fat_mm", "kph_pct"))
    with pytest.raises(ValueError, match="covariates"):
        model.update(np.array([MEAN]), np.array([[1.0]]))
    with pytest.raises(ValueError, match="covariates"):
        model.forecast(np.array([[1.0, 2.0, 3.0]]))
