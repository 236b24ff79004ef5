"""What a figure read at the rib face adds: found where it tells, not where it does not."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.learn.ribface_value import figure_values


def herd(seed: int, animals: int = 60) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Yield falls with fat; marbling says nothing."""
    rng = np.random.default_rng(seed)
    figures = {"fat_mm": rng.normal(12, 4, animals), "marbling": rng.normal(450, 80, animals)}
    return figures, 0.66 - 0.004 * (figures["fat_mm"] - 12) + rng.normal(0, 0.01, animals)


def test_fat_helps_and_marbling_does_not() -> None:
    fat, marbling = figure_values(*herd(1))
    assert (fat.figure, fat.helps, marbling.helps) == ("fat_mm", True, False)
    assert fat.error_after < 0.75 * fat.error_before
    assert fat.log_score > 0.2 > marbling.log_score


def test_nothing_helps_by_chance_more_than_now_and_then() -> None:
    helped = 0
    for seed in range(60):
        figures, _ = herd(seed, animals=25)
        noise = np.random.default_rng(seed + 500).normal(size=25)
        helped += sum(one.helps for one in figure_values(figures, noise))
    assert helped <= 0.1 * 120


def test_leaving_out_is_the_same_as_fitting_without() -> None:
    """The short way against the long one: with one figure alone, errors before are those of the others' mean."""
    figures, value = herd(2, animals=12)
    (fat,) = figure_values({"fat_mm": figures["fat_mm"]}, value)
    others = [(value.sum() - one) / 11 for one in value]
    assert fat.error_before == pytest.approx(np.abs(value - others).mean())


def test_a_figure_that_never_varies_adds_nothing() -> None:
    figures, value = herd(3)
    still = figure_values({**figures, "area": np.full(60, 80.0)}, value)
    area = next(one for one in still if one.figure == "area")
    assert area.nearer.mean == pytest.approx(0.0) and not area.helps


def test_too_few_or_ragged_animals() -> None:
    figures, value = herd(4, animals=7)
    assert figure_values(figures, value) == ()
    assert figure_values({}, [0.6] * 20) == ()
    with pytest.raises(ValueError, match="one value an animal"):
        figure_values({"fat_mm": [1.0] * 9}, [0.6] * 10)
