"""Student's t and Fisher's F against printed tables and closed forms."""

from __future__ import annotations

import math

import pytest

from gambrel.learn.chances import f_upper, incomplete_beta, student_width, two_sided

# NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, 2012: t with 5 % (2.5 %, 0.5 %) above it.
PRINTED_T = [
    (1, 0.10, 6.314), (2, 0.10, 2.920), (5, 0.10, 2.015), (10, 0.10, 1.812), (30, 0.10, 1.697),
    (1, 0.05, 12.706), (5, 0.05, 2.571), (10, 0.05, 2.228), (20, 0.05, 2.086), (20, 0.01, 2.845), (100, 0.01, 2.626),
]  # fmt: skip

# The same, section 1.3.6.7.3: F with 5 % above it.
PRINTED_F = [(1, 1, 161.448), (1, 10, 4.965), (2, 10, 4.103), (4, 11, 3.357), (4, 20, 2.866), (10, 10, 2.978)]


@pytest.mark.parametrize(("df", "chance", "printed"), PRINTED_T)
def test_student_as_printed(df: int, chance: float, printed: float) -> None:
    assert student_width(df, 1.0 - chance) == pytest.approx(printed, abs=6e-4)
    assert two_sided(printed, df) == pytest.approx(chance, rel=2e-3)


@pytest.mark.parametrize(("above", "below", "printed"), PRINTED_F)
def test_fisher_as_printed(above: int, below: int, printed: float) -> None:
    assert f_upper(printed, above, below) == pytest.approx(0.05, rel=1e-3)


@pytest.mark.parametrize("t", [0.0, 0.3, 1.0, 4.0, 50.0])
def test_one_and_two_degrees_of_freedom_have_a_formula(t: float) -> None:
    """Cauchy: 1 - (2 / pi) atan t; two: 1 - t / sqrt(2 + t2)."""
    assert two_sided(t, 1) == pytest.approx(1.0 - 2.0 / math.pi * math.atan(t), abs=1e-12)
    assert two_sided(t, 2) == pytest.approx(1.0 - t / math.sqrt(2.0 + t * t), abs=1e-12)


def test_many_degrees_of_freedom_are_the_normal() -> None:
    assert two_sided(1.959964, 1e7) == pytest.approx(0.05, rel=1e-5)


@pytest.mark.parametrize(("a", "b"), [(1, 1), (2, 3), (5, 2), (7, 7)])
@pytest.mark.parametrize("x", [0.0, 0.05, 0.4, 0.9, 1.0])
def test_whole_numbers_are_a_sum_of_binomials(x: float, a: int, b: int) -> None:
    """I_x(a, b) is the chance of a or more successes in a + b - 1 trials [Abramowitz & Stegun, 26.5.24, 1964]."""
    trials = a + b - 1
    by_hand = sum(math.comb(trials, k) * x**k * (1 - x) ** (trials - k) for k in range(a, trials + 1))
    assert incomplete_beta(x, a, b) == pytest.approx(by_hand, abs=1e-12)


@pytest.mark.parametrize("df", [1, 3, 12, 80])
def test_the_square_of_a_student_is_a_fisher(df: int) -> None:
    assert f_upper(2.3**2, 1, df) == pytest.approx(two_sided(2.3, df), rel=1e-12)


def test_what_is_no_probability_is_refused() -> None:
    for x, a, b in ((1.5, 1.0, 1.0), (-0.1, 1.0, 1.0), (0.5, 0.0, 1.0)):
        with pytest.raises(ValueError, match="from 0 to 1"):
            incomplete_beta(x, a, b)
