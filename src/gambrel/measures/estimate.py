"""A figure with its spread: mean and the ends of its 90 % interval."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Z90 = 1.6448536269514722
"""Standard normal deviate with 5 % above it."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """Mean, 5th and 95th percentile, all in the unit that the field's name says."""

    mean: float
    p05: float
    p95: float

    @classmethod
    def from_draws(cls, draws: NDArray[np.float64]) -> Estimate:
        """Summary of a vector of equally likely values."""
        import numpy as np

        low, high = np.percentile(draws, (5.0, 95.0))
        return cls(mean=float(np.mean(draws)), p05=float(low), p95=float(high))

    @classmethod
    def normal(cls, mean: float, sd: float) -> Estimate:
        """A normal spread of standard deviation `sd`, same unit as `mean`."""
        return cls(mean=mean, p05=mean - Z90 * sd, p95=mean + Z90 * sd)

    @classmethod
    def exact(cls, value: float) -> Estimate:
        """A figure that is known, not estimated."""
        return cls(mean=value, p05=value, p95=value)

    def times(self, factor: float) -> Estimate:
        """The same figure in another unit; a negative factor swaps the ends."""
        ends = sorted((self.p05 * factor, self.p95 * factor))
        return Estimate(mean=self.mean * factor, p05=ends[0], p95=ends[1])

    def as_json(self) -> dict[str, float]:
        return {"mean": self.mean, "p05": self.p05, "p95": self.p95}
