"""Degree and fat from marbling, against the published line and table."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.ribface.degree import estimate_degree, fat_of_area_pct, score_of_fat

# Intramuscular fat by degree, Beef Improvement Federation guidelines, taken at the middle of the degree.
BIF = [(250, 2.76), (350, 3.83), (450, 5.04), (550, 6.72), (650, 7.25), (750, 10.13)]


@pytest.mark.parametrize("score,fat_pct", BIF)
def test_the_table_comes_back(score: float, fat_pct: float) -> None:
    assert score_of_fat(fat_pct) == pytest.approx(score)


@pytest.mark.parametrize("area_pct", [6.1, 20.0, 56.8])
def test_fat_by_the_published_line(area_pct: float) -> None:
    """J Anim Sci 2000, 78:799: crude fat % = 0.793 area % - 3.04, area from 6.1 to 56.8 %."""
    assert fat_of_area_pct(area_pct) == pytest.approx(0.793 * area_pct - 3.04)


@given(st.floats(0, 100), st.floats(0, 100))
def test_more_marbling_is_never_a_lower_score(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert fat_of_area_pct(low) <= fat_of_area_pct(high) + 1e-9
    assert 0 <= score_of_fat(fat_of_area_pct(low)) <= score_of_fat(fat_of_area_pct(high)) <= 1000


@given(st.floats(0, 60))
def test_the_interval_holds_the_estimate(share: float) -> None:
    got = estimate_degree(share, (max(0, share - 1), share + 1))
    assert got.score_interval[0] <= got.score <= got.score_interval[1]
    assert got.fat_interval[0] <= got.fat_pct <= got.fat_interval[1]


def test_outside_the_line_it_says_so() -> None:
    assert not estimate_degree(2.0, (1.0, 3.0)).within_range
    assert estimate_degree(12.0, (10.0, 14.0)).within_range
    assert not estimate_degree(70.0, (60.0, 80.0)).within_range
