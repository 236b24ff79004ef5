"""The alarm against printed run lengths, by hand, and on sides whose truth is known."""

from __future__ import annotations

import math
from datetime import date, timedelta
from statistics import NormalDist

import numpy as np
import pytest

from gambrel.learn.alarm import Sum, alarms, bound_for, looks_between_alarms, normal_score
from gambrel.learn.truth import SideTruth

DAY = date(2026, 1, 5)

# Lucas & Crosier, "Fast initial response for CUSUM quality-control schemes", Technometrics 24, 1982, table 1: two
# sums with an allowance of 0.5 and a bound of 4, from nothing; shift and mean number of looks until it rings.
PRINTED = [
    (0.0, 168.0),
    (0.25, 74.2),
    (0.5, 26.6),
    (0.75, 13.3),
    (1.0, 8.38),
    (1.5, 4.75),
    (2.0, 3.34),
    (3.0, 2.19),
]


def run_length(rng: np.random.Generator, shift: float, bound: float) -> int:
    above = below = Sum()
    for look in range(1, 100_000):
        score = shift + float(rng.standard_normal())
        above, below = above.plus(score), below.plus(-score)
        if max(above.height_sd, below.height_sd) > bound:
            return look
    raise AssertionError("it never rang")


@pytest.mark.parametrize(("shift", "printed"), PRINTED)
def test_the_sums_ring_after_as_many_looks_as_printed(shift: float, printed: float) -> None:
    """Within four standard errors of the drawn mean; a run's length spreads about as much as it is long."""
    rng = np.random.default_rng(int(100 * shift))
    runs = [run_length(rng, shift, 4.0) for _ in range(300 if shift < 0.5 else 1500)]
    assert np.mean(runs) == pytest.approx(printed, abs=4.0 * np.std(runs) / math.sqrt(len(runs)))


@pytest.mark.parametrize(("shift", "printed"), PRINTED[:6])
def test_the_approximation_is_near_what_is_printed(shift: float, printed: float) -> None:
    assert looks_between_alarms(4.0, shift) == pytest.approx(printed, rel=0.05)


def test_the_worked_example_in_print() -> None:
    """Montgomery, "Introduction to Statistical Quality Control", section 9.1, Wiley, 2009: a bound of 5 gives 469.1 by
    this approximation (465 exactly), and at a shift of one 10.34 (10.4)."""
    assert looks_between_alarms(5.0) == pytest.approx(469.1, abs=0.1)
    assert looks_between_alarms(5.0, 1.0) == pytest.approx(10.34, abs=0.02)


@pytest.mark.parametrize("cuts", [1, 5, 40])
def test_the_bound_keeps_all_cuts_together_to_the_stated_looks(cuts: int) -> None:
    assert looks_between_alarms(bound_for(cuts, looks_count=400.0)) == pytest.approx(400.0 * cuts, rel=1e-6)


def test_a_sum_by_hand() -> None:
    """1.2, then 0.1, then -0.4: 0.7, 0.3, nothing; then 0.9 starts anew."""
    sums = [Sum()]
    for score in (1.2, 0.1, -0.4, 0.9):
        sums.append(sums[-1].plus(score))
    assert [one.height_sd for one in sums] == pytest.approx([0.0, 0.7, 0.3, 0.0, 0.4])
    assert [one.looks_count for one in sums] == [0, 1, 2, 0, 1]


@pytest.mark.parametrize(
    ("place", "score"), [(0.5, 0.0), (0.95, 1.6449), (0.0, -3.0), (1.0, 3.0), (1e-6, -3.0)]
)
def test_normal_scores_as_printed_and_no_wilder_than_three(place: float, score: float) -> None:
    """1.6449 has 5 % above it [NIST/SEMATECH e-Handbook, section 1.3.6.7.1, 2012]."""
    assert normal_score(place) == pytest.approx(score, abs=1e-4)


def a_season(seed: int, looks: int, *, shift: float = 0.0, since: int = 0, cuts: int = 12) -> list[SideTruth]:
    """Two sides a look that go half together; from `since` on the first cut is off by `shift`."""
    rng = np.random.default_rng(seed)
    sides = []
    for look in range(looks):
        animal = rng.standard_normal(cuts) * math.sqrt(0.5)
        for half in ("left", "right"):
            z = animal + rng.standard_normal(cuts) * math.sqrt(0.5)
            z[0] += shift if look >= since else 0.0
            places = {f"cut-{n}": NormalDist().cdf(float(one)) for n, one in enumerate(z)}
            sides.append(SideTruth(f"{look}-{half}", "bison", DAY + timedelta(days=look), places, {}))
    return sides


def test_a_season_that_is_true_hardly_ever_rings() -> None:
    """Forty looks of four hundred: at most a tenth of the seasons should end with an alarm, and less, for a sum that
    is near its bound falls again."""
    assert sum(bool(alarms(a_season(seed, 40))) for seed in range(60)) <= 6


def test_a_cut_that_departs_is_named_with_its_day_and_its_way() -> None:
    found = [alarms(a_season(seed, 60, shift=1.0, since=40)) for seed in range(20)]
    rung = [one[0] for one in found if one and one[0].slug == "cut-0"]
    assert len(rung) >= 17
    assert all(one.is_heavier and one.times_bound_ratio > 1.0 for one in rung)
    assert abs(np.median([(one.since - DAY).days for one in rung]) - 40) <= 3
    # two sides that go half together tell 1.15 times as much as one
    assert np.median([one.shift_sd for one in rung]) == pytest.approx(1.0 / math.sqrt(0.75), abs=0.25)


def test_lighter_is_told_from_heavier_and_order_does_not_matter() -> None:
    sides = a_season(3, 30, shift=-2.0)
    (one,) = alarms(sides)
    assert (one.slug, one.is_heavier, one.shift_sd < 0.0) == ("cut-0", False, True)
    assert alarms(sides[::-1]) == (one,)


def test_one_wild_side_rings_nothing_and_no_side_says_nothing() -> None:
    sides = a_season(5, 6)
    wild = SideTruth("w", "bison", DAY + timedelta(days=9), {"cut-0": 1.0}, {})
    assert alarms([*sides, wild]) == () == alarms([])
