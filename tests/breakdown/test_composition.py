"""Log-ratio coordinates and amalgamation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as npst

from gambrel.breakdown.composition import fill_by_amalgamation, ilr_basis, to_coordinates, to_shares

positive = st.floats(1e-4, 1.0)


@pytest.mark.parametrize("parts", [2, 3, 7, 15])
def test_basis_is_orthonormal_and_sums_to_nothing(parts: int) -> None:
    basis = ilr_basis(parts)
    np.testing.assert_allclose(basis @ basis.T, np.eye(parts - 1), atol=1e-12)
    np.testing.assert_allclose(basis.sum(axis=1), 0.0, atol=1e-12)


def test_two_parts_are_the_log_ratio_over_root_two() -> None:
    # Egozcue et al., Mathematical Geology 35, 2003, eq. for two parts: ln(x1 / x2) / sqrt(2).
    assert to_coordinates(np.array([[0.8, 0.2]]))[0, 0] == pytest.approx(np.log(4.0) / np.sqrt(2.0))


@given(npst.arrays(float, (4, 6), elements=positive))
def test_there_and_back(raw: np.ndarray) -> None:
    shares = raw / raw.sum(axis=1, keepdims=True)
    np.testing.assert_allclose(to_shares(to_coordinates(shares)), shares, rtol=1e-9)


@given(npst.arrays(float, (3, 5), elements=positive), npst.arrays(float, (3, 5), elements=positive))
def test_distances_are_those_of_the_centred_logs(a: np.ndarray, b: np.ndarray) -> None:
    def centred(x: np.ndarray) -> np.ndarray:
        return np.log(x) - np.log(x).mean(axis=1, keepdims=True)

    apart = np.linalg.norm(to_coordinates(a) - to_coordinates(b), axis=1)
    np.testing.assert_allclose(apart, np.linalg.norm(centred(a) - centred(b), axis=1), atol=1e-9)


def test_far_points_do_not_overflow() -> None:
    shares = to_shares(np.full((1, 4), 900.0))
    assert np.all(np.isfinite(shares)) and shares.sum() == pytest.approx(1.0)


USUAL = np.array([0.5, 0.3, 0.15, 0.05])


def test_a_gap_takes_what_the_row_lacks() -> None:
    filled = fill_by_amalgamation(np.array([[0.6, 0.2, np.nan, np.nan]]), USUAL)
    np.testing.assert_allclose(filled, [[0.6, 0.2, 0.15, 0.05]])


def test_a_zero_is_split_out_of_the_largest_part_and_the_total_of_both_is_kept() -> None:
    filled = fill_by_amalgamation(np.array([[0.7, 0.3, 0.0, 0.0]]), USUAL)
    assert filled[0, [0, 2, 3]].sum() == pytest.approx(0.7)
    np.testing.assert_allclose(filled[0, [0, 2, 3]] / 0.7, USUAL[[0, 2, 3]] / USUAL[[0, 2, 3]].sum())
    assert filled[0, 1] == pytest.approx(0.3)


@given(npst.arrays(float, (5, 4), elements=st.sampled_from([0.0, np.nan, 0.05, 0.1, 0.2])))
def test_no_row_is_dropped_and_each_adds_to_one(rows: np.ndarray) -> None:
    rows[:, 0] = 0.2  # something was weighed
    filled = fill_by_amalgamation(rows, USUAL)
    assert filled.shape == rows.shape
    assert np.all(filled > 0.0)
    np.testing.assert_allclose(filled.sum(axis=1), 1.0)
