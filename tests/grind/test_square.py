"""The square and the trimmed weight against published sums."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.grind import kg_after_fat_is_trimmed, pearson_square
from gambrel.measures.units import kg_from_lb, lb_from_kg


def test_square_of_the_published_case() -> None:
    # Meat Calculations (teaching slides): 10 % fat boneless cow at $0.99/lb, 25 % fat trim at $0.79/lb,
    # target 20 %, 1000 lb. The answer is arithmetic on those inputs.
    square = pearson_square(first_fat_pct=10, second_fat_pct=25, target_fat_pct=20)
    assert 1000 * square.first_share == pytest.approx(333.3, abs=0.1)
    assert 1000 * square.second_share == pytest.approx(666.7, abs=0.1)
    assert square.first_share * 0.99 + square.second_share * 0.79 == pytest.approx(0.8567, abs=0.0005)


def test_half_and_half_of_no_fat_and_thirty() -> None:
    # A worked sausage blend (profound-information.com, game and pork): 12.5 lb at 0 % with 12.5 lb at 30 % is
    # 15 % fat, 3.75 lb of fat in 25 lb.
    square = pearson_square(first_fat_pct=0, second_fat_pct=30, target_fat_pct=15)
    assert (square.first_share, square.second_share) == (0.5, 0.5)
    assert 25 * square.second_share * 0.30 == pytest.approx(3.75)


@pytest.mark.parametrize(("target", "left_lb"), [(80.0, 93.75), (90.0, 83.33)])
def test_what_is_left_of_a_hundred_pounds_of_75s(target: float, left_lb: float) -> None:
    # By hand: the 75 lb of lean stay, 75 / 0.80 = 93.75 and 75 / 0.90 = 83.33 lb.
    left_kg = kg_after_fat_is_trimmed(trim_kg=kg_from_lb(100), lean_pct=75, target_lean_pct=target)
    assert lb_from_kg(left_kg) == pytest.approx(left_lb, abs=0.01)


def test_trimming_never_adds_weight() -> None:
    assert kg_after_fat_is_trimmed(trim_kg=10, lean_pct=90, target_lean_pct=80) == 10


@pytest.mark.parametrize("target", [5.0, 30.0])
def test_a_target_outside_the_two_trims_is_refused(target: float) -> None:
    with pytest.raises(ValueError, match="between the two"):
        pearson_square(first_fat_pct=10, second_fat_pct=25, target_fat_pct=target)


@pytest.mark.parametrize(("lean", "target"), [(75.0, 0.0), (101.0, 80.0), (75.0, 120.0)])
def test_lean_that_is_no_percentage_is_refused(lean: float, target: float) -> None:
    with pytest.raises(ValueError, match="percentage"):
        kg_after_fat_is_trimmed(trim_kg=1, lean_pct=lean, target_lean_pct=target)


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 1))
def test_the_square_meets_its_target(first: float, second: float, part: float) -> None:
    target = min(max(first + part * (second - first), min(first, second)), max(first, second))
    square = pearson_square(first_fat_pct=first, second_fat_pct=second, target_fat_pct=target)
    assert square.first_share + square.second_share == pytest.approx(1)
    assert square.first_share * first + square.second_share * second == pytest.approx(target, abs=1e-6)


def test_two_trims_alike_are_shared_evenly() -> None:
    assert pearson_square(first_fat_pct=15, second_fat_pct=15, target_fat_pct=15).first_share == 0.5
