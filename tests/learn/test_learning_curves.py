"""Learning on real cattle that were cut into 15 parts: error, honesty, spoiled tests, and the other side.

The table has no stated licence, so it is no part of the project; without it these tests skip. The full counts are
in docs/learning.md, printed by tools/learning_curves.py.
"""

from __future__ import annotations

import learning_curves as curves
import pytest

pytestmark = pytest.mark.skipif(
    not curves.TABLE.exists(), reason="the measured cattle table is not on this machine"
)
SPLITS = 5


@pytest.fixture(scope="module")
def cattle() -> curves.Cattle:
    return curves.read_cattle()


def test_the_book_alone_is_honest(cattle: curves.Cattle) -> None:
    assert curves.point(cattle, 0, 1).coverage_pct >= 85.0


def test_error_falls_and_coverage_holds(cattle: curves.Cattle) -> None:
    points = [curves.point(cattle, animals, SPLITS) for animals in (0, 5, 20)]
    errors = [point.error_pct for point in points]
    assert errors == sorted(errors, reverse=True)
    assert all(85.0 <= point.coverage_pct <= 96.0 for point in points)


@pytest.mark.parametrize("animals", [5, 10])
def test_better_than_the_plain_mean_and_ridge(cattle: curves.Cattle, animals: int) -> None:
    point = curves.point(cattle, animals, SPLITS)
    assert point.error_pct < point.mean_error_pct
    assert point.error_pct < 1.02 * point.ridge_error_pct


@pytest.mark.parametrize("animals", [10, 20])
def test_a_tenth_spoiled_adds_less_than_a_tenth(cattle: curves.Cattle, animals: int) -> None:
    clean = curves.point(cattle, animals, SPLITS)
    assert curves.point(cattle, animals, SPLITS, spoil=True).error_pct < 1.1 * clean.error_pct


def test_the_other_side_is_told_about_as_well_as_the_two_are_alike(cattle: curves.Cattle) -> None:
    error, difference = curves.other_side(cattle, SPLITS)
    assert error <= 1.1 * difference
