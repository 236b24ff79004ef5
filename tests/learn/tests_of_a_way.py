"""Invented cutting tests of one way: parts fall as gamma variates about true shares, with effects laid on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from gambrel.breakdown import ShareModel
from gambrel.learn.way_tests import WayTests, way_tests

PARTS = ("chuck-roll", "clod", "trim-85", "neck-bones", "trim-fat", "loss")
BOOK = np.array([0.30, 0.22, 0.24, 0.12, 0.11, 0.01])
TRUE = np.array([0.26, 0.22, 0.28, 0.13, 0.10, 0.01])
SPREAD = 0.10


def book_model() -> ShareModel:
    return ShareModel.from_prior(PARTS, BOOK, worth=4, relative_sd=0.12, df=6)


def weights(rng: np.random.Generator, tests: int, factors: np.ndarray | float = 1.0) -> np.ndarray:
    """Weights (tests, parts) in kg; `factors` broadcastable to them."""
    shape = 1.0 / SPREAD**2
    kg = TRUE * factors * rng.gamma(shape, size=(tests, len(PARTS))) / shape
    return 40.0 * rng.uniform(0.8, 1.2, size=(tests, 1)) * kg


def drawn(rng: np.random.Generator, tests: int, **names: Sequence[str]) -> WayTests:
    return way_tests(PARTS, weights(rng, tests), BOOK, **names)  # type: ignore[arg-type]


def with_effects(
    rng: np.random.Generator, of: Sequence[str], effects: Mapping[str, np.ndarray]
) -> np.ndarray:
    factors = np.stack([effects.get(name, np.ones(len(PARTS))) for name in of])
    return weights(rng, len(of), factors)


def mean_shares(model: ShareModel) -> np.ndarray:
    return model.mean()[0]
