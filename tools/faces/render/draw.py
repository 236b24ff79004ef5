"""Drawing by lot: one seed, one independent stream for each part of the picture."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import TypeVar

import numpy as np

T = TypeVar("T")


class Draw:
    """A stream of random numbers for one part of one picture; the same seed and part give the same stream.

    Parts have streams of their own, so that the anatomy of a seed stays what it is when the
    size of the picture or the light changes.
    """

    def __init__(self, seed: int, part: str) -> None:
        self.seed = seed
        self.rng = np.random.default_rng([seed, zlib.crc32(part.encode())])

    def between(self, low: float, high: float) -> float:
        return float(self.rng.uniform(low, high))

    def log_between(self, low: float, high: float) -> float:
        return float(np.exp(self.rng.uniform(np.log(low), np.log(high))))

    def bell(self, mean: float, spread: float, low: float, high: float) -> float:
        return float(np.clip(self.rng.normal(mean, spread), low, high))

    def chance(self, share: float) -> bool:
        return bool(self.rng.random() < share)

    def whole(self, low: int, high: int) -> int:
        """A whole number from low to high, both included."""
        return int(self.rng.integers(low, high + 1))

    def pick(self, things: Sequence[T]) -> T:
        return things[int(self.rng.integers(len(things)))]

    def sign(self) -> float:
        return 1.0 if self.rng.random() < 0.5 else -1.0
