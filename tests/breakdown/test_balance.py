"""The balance of a side: what is missing, what may be, and what the scale's digits are good for."""

from __future__ import annotations

import math

import pytest

from gambrel.breakdown.balance import Balance, group_of, tolerance_kg
from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures import Estimate

LOSS = Estimate(mean=2.0, p05=1.0, p95=3.0)


def balance(cuts_kg: float, tolerance: float = 0.5) -> Balance:
    return Balance(100.0, {"cuts": cuts_kg, "trim": 20.0, "bone": 15.0, "fat": 5.0}, LOSS, tolerance)


def test_tolerances_add_as_squares() -> None:
    """Three and four make five [JCGM 100, section 5.1.2, BIPM, 2008: u_c squared is the sum of squares]."""
    assert tolerance_kg([0.3, 0.4]) == pytest.approx(0.5)
    assert tolerance_kg([]) == 0.0
    assert tolerance_kg([0.1] * 49) == pytest.approx(0.7)


def test_what_was_not_weighed_is_missing() -> None:
    assert balance(50.0).weighed_kg == 90.0
    assert balance(50.0).missing_kg == 10.0


@pytest.mark.parametrize(
    ("cuts_kg", "is_short", "is_over"),
    [(50.0, True, False), (56.4, True, False), (56.6, False, False), (60.0, False, False), (60.4, False, False),
     (60.6, False, True)],
)  # fmt: skip
def test_it_holds_between_the_loss_and_the_digits(cuts_kg: float, is_short: bool, is_over: bool) -> None:
    """100 less 40 leaves 60; 3.0 + 0.5 may be missing, and 0.5 too much."""
    one = balance(cuts_kg)
    assert (one.is_short, one.is_over, one.holds) == (is_short, is_over, not (is_short or is_over))


def test_coarser_digits_forgive_more() -> None:
    assert not balance(56.4, tolerance=0.7).is_short
    assert math.isclose(balance(56.4, tolerance=0.7).most_missing_kg, 3.7)


@pytest.mark.parametrize(("slug", "group"), [("ribeye-roll", "cuts"), ("trim-85", "trim"), ("chine-bones", "bone"),
                                             ("suet", "fat"), ("hanging-tender", "cuts")])  # fmt: skip
def test_pieces_count_where_they_are_sold(slug: str, group: str) -> None:
    assert group_of(shipped_cuts()[slug]) == group
