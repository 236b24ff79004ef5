"""Degree and fat from marbling, against the published line and the pictures that the degree rests on."""

from __future__ import annotations

from pathlib import Path

import pytest
from faces.reference_pictures import measured
from hypothesis import given
from hypothesis import strategies as st

from gambrel.ribface.degree import REFERENCE_PICTURES, SCORE_UNCERTAINTY, estimate_degree, score_of_area


@pytest.mark.parametrize("area_pct", [6.1, 20.0, 56.8])
def test_fat_by_the_published_line(area_pct: float) -> None:
    """J Anim Sci 2000, 78:799: crude fat % = 0.793 area % - 3.04, area from 6.1 to 56.8 %."""
    got = estimate_degree(area_pct, (area_pct, area_pct))
    assert got.fat_pct == pytest.approx(0.793 * area_pct - 3.04)


@pytest.mark.parametrize("area_pct", [0.0, 2.0, 6.0, 57.0, 90.0])
def test_no_fat_is_given_outside_the_line(area_pct: float) -> None:
    got = estimate_degree(area_pct, (area_pct, area_pct))
    assert got.fat_pct is None
    assert got.fat_interval is None
    assert not got.within_range


@pytest.mark.parametrize("area_pct,score", REFERENCE_PICTURES)
def test_the_reference_pictures_get_their_degree(area_pct: float, score: float) -> None:
    assert score_of_area(area_pct) == pytest.approx(score)


def test_the_reference_pictures_still_measure_as_kept(photos: Path) -> None:
    for seen, (kept, _) in zip(measured(photos), REFERENCE_PICTURES, strict=True):
        assert seen == pytest.approx(kept, abs=0.3)


@given(st.floats(0, 100), st.floats(0, 100))
def test_more_marbling_is_never_a_lower_score(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert 0 <= score_of_area(low) <= score_of_area(high) <= 1000


@given(st.floats(0, 60))
def test_the_interval_holds_the_estimate(share: float) -> None:
    got = estimate_degree(share, (max(0, share - 1), share + 1))
    assert got.score_interval[0] <= got.score <= got.score_interval[1]
    if got.fat_pct is not None and got.fat_interval is not None:
        assert got.fat_interval[0] <= got.fat_pct <= got.fat_interval[1]


@given(st.floats(3, 12))
def test_the_score_is_never_said_closer_than_a_degree(share: float) -> None:
    low, high = estimate_degree(share, (share, share)).score_interval
    assert high - low == pytest.approx(2 * SCORE_UNCERTAINTY)
