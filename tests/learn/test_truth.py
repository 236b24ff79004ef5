"""Truth told: coverage and bias by hand, the verdict, and how often the alarm rings when nothing is wrong."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from gambrel.learn.truth import SideTruth, biases, biases_by_kind, by_month, coverage, drifted, verdict

DAY = date(2026, 1, 5)
PIECES = [f"piece-{n}" for n in range(20)]


def a_side(places: list[float], *, day: int = 0, ratio: float = 1.0) -> SideTruth:
    named = {f"piece-{n}": place for n, place in enumerate(places)}
    return SideTruth(f"S{day}", "bison", DAY + timedelta(days=day), named, dict.fromkeys(named, ratio))


def honest(rng: np.random.Generator, count: int, *, late: float = 1.0) -> list[SideTruth]:
    """Sides whose pieces fall evenly over the draws, but for a common error of the side; the last eight spread more."""
    sides = []
    for number in range(count):
        spread = late if number >= count - 8 else 1.0
        z = spread * (0.6 * rng.standard_normal() + 0.8 * rng.standard_normal(len(PIECES)))
        sides.append(a_side([0.5 * (1 + math.erf(one / math.sqrt(2))) for one in z], day=number))
    return sides


@pytest.mark.parametrize(
    ("level", "inside"),
    [(50, 1 / 4), (80, 2 / 4), (90, 3 / 4)],
)
def test_what_lies_inside_is_counted_with_its_edges(level: int, inside: float) -> None:
    """0.5 lies in all three, 0.85 in 80 and 90, 0.05 on the very edge of 90, 0.99 in none."""
    assert a_side([0.5, 0.85, 0.05, 0.99]).inside_share(level) == inside


def test_coverage_is_the_mean_of_the_sides_with_its_error_between_them() -> None:
    # shares inside of 1, 0.5 and 0.75: mean 0.75, sd 0.25, standard error 0.25 / sqrt 3; Student's 2.920 with 2 df
    # [NIST/SEMATECH e-Handbook, section 1.3.6.7.2, 2012]
    sides = [a_side([0.5] * 4), a_side([0.5, 0.5, 0.99, 0.99]), a_side([0.5, 0.5, 0.5, 0.99])]
    found = coverage(sides, 90)
    assert found.inside_share == pytest.approx(0.75)
    assert found.low_share == pytest.approx(0.75 - 2.920 * 0.25 / math.sqrt(3), abs=1e-4)
    assert found.is_right and found.sides_count == 3
    with pytest.raises(ValueError, match="no side"):
        coverage([], 90)


def test_one_side_alone_says_nothing() -> None:
    found = coverage([a_side([0.99] * 5)], 90)
    assert (found.inside_share, found.low_share, found.high_share) == (0.0, 0.0, 1.0)


def test_a_piece_that_always_comes_heavier_leans() -> None:
    sides = [a_side([0.5], day=n, ratio=ratio) for n, ratio in enumerate((1.10, 1.12, 1.08, 1.10))]
    (bias,) = biases(sides)
    assert bias.ratio == pytest.approx((1.10 * 1.12 * 1.08 * 1.10) ** 0.25)
    assert bias.leans and bias.sides_count == 4
    even = biases([a_side([0.5], day=n, ratio=ratio) for n, ratio in enumerate((0.9, 1 / 0.9, 1.0))])
    assert not even[0].leans and even[0].ratio == pytest.approx(1.0)
    assert biases(sides[:2]) == ()  # two sides tell nothing


def test_kinds_lean_each_their_own_way() -> None:
    of_bison = [a_side([0.5], day=n, ratio=ratio) for n, ratio in enumerate((1.10, 1.12, 1.08))]
    of_grain = [
        replace(a_side([0.5], day=n, ratio=ratio), kind="grain") for n, ratio in enumerate((0.90, 0.92, 0.88))
    ]
    found = biases_by_kind([*of_grain, *of_bison])
    assert list(found) == ["bison", "grain"]
    assert found["bison"] == biases(of_bison) and found["bison"][0].leans
    assert found["grain"][0].ratio == pytest.approx((0.90 * 0.92 * 0.88) ** (1 / 3))
    assert not biases([*of_grain, *of_bison])[0].leans  # together they cancel out


def test_months_come_in_their_order() -> None:
    sides = [a_side([0.5], day=60), a_side([0.99], day=0), a_side([0.5], day=1)]
    months = by_month(sides, 90)
    assert [(month, one.sides_count) for month, one in months] == [
        (date(2026, 1, 1), 2),
        (date(2026, 3, 1), 1),
    ]
    assert months[0][1].inside_share == 0.5


def test_the_verdict_on_honest_narrow_and_wide_intervals() -> None:
    rng = np.random.default_rng(5)
    sides = honest(rng, 40)
    assert verdict(sides) == "right" and verdict(sides[:5]) == "too-few"
    assert verdict([a_side([0.5] * 8 + [0.99] * 12, day=n) for n in range(8)]) == "too-narrow"
    assert verdict([a_side([0.5] * 20, day=n) for n in range(8)]) == "too-wide"


def test_an_honest_ninety_covers_ninety_within_its_own_interval_nine_times_in_ten() -> None:
    rng = np.random.default_rng(8)
    right = [coverage(honest(rng, 30), 90).is_right for _ in range(200)]
    assert 0.82 <= sum(right) / 200 <= 0.96


def test_the_alarm_hardly_rings_when_nothing_is_wrong_and_rings_when_the_block_departs() -> None:
    rng = np.random.default_rng(9)
    false = sum(drifted(honest(rng, 30)) for _ in range(300))
    true = sum(drifted(honest(rng, 30, late=2.5)) for _ in range(50))
    assert (
        false <= 6
    )  # eight sides are few: about once in a hundred looks rather than the once in 740 of theory
    assert true >= 40
    assert not drifted(honest(rng, 15, late=5.0))
