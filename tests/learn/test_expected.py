"""What one side should give: a density that adds up to one, checked by integration."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy import integrate

from gambrel.learn.expected import LOG_ZEROS, TAIL_DF, ZEROS_KG, Expected, expected_side

ALIKE = math.gamma(0.5 * TAIL_DF)
"""What is the same for all explanations and so is left out of the density: the rest of a Student t's constant."""

DRY = int(np.argmin(np.abs(ZEROS_KG)))


def side(*kg: float, sd: float = 0.1, loss_kg: float = 0.4) -> Expected:
    """Pieces of these usual weights, each by itself sure to about a tenth."""
    slugs = tuple(f"piece-{number}" for number in range(len(kg)))
    begun_kg = sum(kg) + loss_kg
    return Expected(slugs, begun_kg, np.log(np.array(kg)), np.eye(len(kg)) * sd**2, loss_kg, 0.15)


def density(expected: Expected, *kg: float, counts: tuple[int, ...] | None = None) -> float:
    lines = np.array(counts or (1,) * len(kg))
    return float(np.exp(expected.log_density(np.array(kg), lines, unweighed=None)[DRY]))


def test_chances_of_a_zero_add_up_and_are_even() -> None:
    assert float(np.exp(LOG_ZEROS).sum()) == pytest.approx(1.0)
    assert pytest.approx(LOG_ZEROS[::-1]) == LOG_ZEROS
    assert int(np.argmax(LOG_ZEROS)) == DRY
    right = LOG_ZEROS[DRY + 1 :]
    assert all(near > far for near, far in pairwise(right))


def test_two_pieces_and_all_their_weights_add_up_to_one() -> None:
    """Over total and share: kg1 = share x total, kg2 = (1 - share) x total, Jacobian total."""
    expected = side(6.0, 4.0)

    def over_share(total_kg: float) -> float:
        return float(integrate.quad(
            lambda share: density(expected, share * total_kg, (1 - share) * total_kg) * total_kg,
            0.001, 0.999, points=[0.55, 0.6, 0.65], limit=80)[0])  # fmt: skip

    found = integrate.quad(over_share, 8.5, 11.5, points=[10.0], limit=60)[0]
    assert found == pytest.approx(ALIKE, rel=0.01)


@pytest.mark.parametrize(("usual_kg", "sd"), [(0.3, 0.1), (6.0, 0.1), (6.0, 0.6), (40.0, 0.02)])
def test_one_line_of_a_piece_adds_up_to_one(usual_kg: float, sd: float) -> None:
    expected = side(usual_kg, 4.0, sd=sd)
    found = integrate.quad(
        lambda kg: math.exp(expected.log_line("piece-0", kg)),
        usual_kg * math.exp(-8 * sd), usual_kg * math.exp(8 * sd), points=[usual_kg], limit=200)[0]  # fmt: skip
    assert found == pytest.approx(1.0, rel=1e-4)


def test_a_line_is_likeliest_near_the_usual_weight() -> None:
    expected = side(6.0, 4.0)
    told = [expected.log_line("piece-0", kg) for kg in (3.0, 5.0, 6.0, 7.0, 12.0)]
    assert told[2] == max(told)
    assert told == sorted(told[:3]) + sorted(told[3:], reverse=True)


def test_pieces_may_come_in_any_order() -> None:
    forth, back = side(6.0, 4.0, 2.5), side(2.5, 6.0, 4.0)
    assert density(forth, 6.2, 3.9, 2.4) == pytest.approx(density(back, 2.4, 6.2, 3.9))


@pytest.mark.parametrize("missing_kg", [0.5, 1.0, 2.0])
def test_less_than_was_hung_is_less_likely_where_the_total_speaks(missing_kg: float) -> None:
    expected = side(6.0, 4.0)
    whole, less = (6.0, 4.0), (6.0 * (1 - missing_kg / 10), 4.0 * (1 - missing_kg / 10))
    assert density(expected, *less) < density(expected, *whole)
    lines = np.array([1, 1])
    # The shape is the same; without the total only the scale of a density per kg is left: 1 / kg for the whole.
    loose = [float(expected.log_density(np.array(kg), lines, unweighed=None, balanced=False)[DRY])
             for kg in (whole, less)]  # fmt: skip
    assert loose[1] - loose[0] == pytest.approx(-math.log(1 - missing_kg / 10))


def test_a_low_zero_explains_a_low_total() -> None:
    """Four lines, each 0.04 kg low: the zero of -0.04 brings the total right."""
    expected = side(3.0, 3.0, 3.0, 3.0, loss_kg=0.0)
    kg = np.full(4, 2.96)
    told = expected.log_density(kg, np.ones(4, dtype=int), unweighed=None)
    assert ZEROS_KG[int(np.argmax(told))] == pytest.approx(-0.04)


def test_a_piece_never_weighed_explains_its_weight() -> None:
    expected = side(6.0, 4.0, 2.5)
    lines = np.array([1, 1, 0])
    kg = np.array([6.0, 4.0, 0.0])
    named = float(expected.log_density(kg, lines, unweighed=2)[DRY])
    unnamed = float(expected.log_density(kg, lines, unweighed=None)[DRY])
    assert named > unnamed + 5.0


@pytest.mark.parametrize("counts", [(0, 0, 0), (1, 0, 0), (0, 0, 1)])
def test_fewer_than_two_pieces_explain_nothing(counts: tuple[int, ...]) -> None:
    expected = side(6.0, 4.0, 2.5)
    kg = np.array(counts) * 3.0
    assert np.isneginf(expected.log_density(kg, np.array(counts), unweighed=None)).all()


def test_a_piece_that_no_way_gives_has_its_place_and_is_unlikely() -> None:
    expected = side(6.0, 4.0)
    wider = expected.with_slugs(["piece-1", "tongue", "tongue"])
    assert wider.slugs == ("piece-0", "piece-1", "tongue")
    assert wider.strange == {"tongue"}
    assert wider.usual_kg[2] == pytest.approx(0.004 * expected.begun_kg)
    assert expected.with_slugs(["piece-0"]) is expected
    lines = np.array([1, 1, 0])
    kg = np.array([6.0, 4.0, 0.0])
    without = expected.log_density(kg[:2], lines[:2], unweighed=None)
    assert wider.log_density(kg, lines, unweighed=None) == pytest.approx(without)


def drawn(sd: float, draws: int = 4000) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(1)
    return {
        slug: usual_kg * np.exp(rng.normal(size=draws) * sd)
        for slug, usual_kg in (("clod", 8.0), ("brisket", 5.0))
    }


def test_a_side_is_fitted_to_its_draws() -> None:
    """Medians, variance of the logarithms with the cutter's blur of 0.04, and the loss with the scale's digits."""
    kg = drawn(0.1)
    loss = np.random.default_rng(2).normal(0.3, 0.03, size=4000)
    made = expected_side(kg, loss, begun_kg=13.6, tolerance_kg=0.12)
    assert made.usual_kg == pytest.approx([8.0, 5.0], rel=0.01)
    assert np.diag(made.scatter) == pytest.approx([0.1**2 * 0.78 + 0.04**2] * 2, rel=0.25)
    assert made.loss_kg == pytest.approx(0.3, abs=0.003)
    sd = math.sqrt(0.03**2 + (0.001 * 13.6) ** 2 + 0.12**2 / 12)
    assert made.loss_sd_kg == pytest.approx(sd, rel=0.02)


def test_a_few_absurd_draws_do_not_hide_the_rest() -> None:
    kg = drawn(0.1)
    clean = expected_side(kg, np.full(4000, 0.3), begun_kg=13.6, tolerance_kg=0.1)
    wild = {slug: draws.copy() for slug, draws in kg.items()}
    wild["clod"][:80] *= 50.0
    spoiled = expected_side(wild, np.full(4000, 0.3), begun_kg=13.6, tolerance_kg=0.1)
    assert spoiled.usual_kg == pytest.approx(clean.usual_kg, rel=0.02)
    assert spoiled.scatter[0, 0] < 2.0 * clean.scatter[0, 0]
    assert np.cov(np.log(wild["clod"])) > 20.0 * clean.scatter[0, 0], "plain variance would have hidden all"
