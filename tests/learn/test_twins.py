"""From one side the other: between the animal's mean and the side that was weighed."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.breakdown import ShareModel
from gambrel.learn.twins import Twins

PARTS = ("a", "b", "c", "d")
MEAN = np.array([0.4, 0.3, 0.2, 0.1])


def model() -> ShareModel:
    return ShareModel.from_prior(PARTS, MEAN, relative_sd=0.1, df=30)


def pairs(seed: int, own_sd: float, number: int = 300) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    animal = MEAN * np.exp(0.1 * rng.standard_normal((number, 4)))
    left, right = (animal * np.exp(own_sd * rng.standard_normal((number, 4))) for _ in range(2))
    return left, right


def error(own_sd: float, learned: bool = True) -> tuple[float, float, float]:
    """Errors of the other side told by the twins, by the weighed side itself, and by the mean."""
    left, right = pairs(1, own_sd)
    twins = Twins.from_prior(PARTS, MEAN)
    if learned:
        twins = twins.learned(left[:200], right[:200])
    told = twins.other_side(model(), left[200:], draws=400, seed=1).mean(axis=0)
    truth = right[200:] / right[200:].sum(axis=1, keepdims=True)
    same = left[200:] / left[200:].sum(axis=1, keepdims=True)
    return tuple(float(np.abs(one - truth).mean()) for one in (told, same, MEAN))  # type: ignore[return-value]


def test_sides_that_are_alike_are_taken_for_each_other() -> None:
    told, same, mean = error(0.01)
    assert told < 1.05 * same < 0.5 * mean


def test_sides_that_differ_are_drawn_to_the_mean() -> None:
    told, same, mean = error(0.15)
    assert told < 0.9 * same
    assert told < mean


def test_intervals_hold_nine_in_ten() -> None:
    left, right = pairs(2, 0.06)
    twins = Twins.from_prior(PARTS, MEAN).learned(left[:200], right[:200])
    low, high = np.percentile(twins.other_side(model(), left[200:], draws=2000, seed=2), (5, 95), axis=0)
    truth = right[200:] / right[200:].sum(axis=1, keepdims=True)
    assert 0.84 <= np.mean((truth >= low) & (truth <= high)) <= 0.96


def test_shares_add_up() -> None:
    told = Twins.from_prior(PARTS).other_side(model(), MEAN[None], draws=50, seed=3)
    assert told.sum(axis=-1) == pytest.approx(1.0)


def test_pairs_may_come_one_by_one() -> None:
    left, right = pairs(4, 0.05, number=20)
    at_once = Twins.from_prior(PARTS).learned(left, right)
    one_by_one = Twins.from_prior(PARTS)
    for number in range(20):
        one_by_one = one_by_one.learned(left[number : number + 1], right[number : number + 1])
    assert one_by_one.own == pytest.approx(at_once.own)
    assert one_by_one.pairs == at_once.pairs == 20


def test_gaps_are_refused() -> None:
    left, right = pairs(5, 0.05, number=3)
    with pytest.raises(ValueError, match="same parts"):
        Twins.from_prior(PARTS).learned(left, right[:2])
    left[0, 0] = 0.0
    with pytest.raises(ValueError, match="weighed"):
        Twins.from_prior(PARTS).learned(left, right)
