"""What a side loses on the rail by day, with its interval, and how the shop's own weighings sharpen it.

The loss is linear in three parameters (chill, early days, steady rate), so that a normal prior and weighings
with normal noise of known size give a normal posterior in closed form [Bayesian linear regression with known
noise: Bishop, Pattern Recognition and Machine Learning, section 3.3.1, Springer, 2006].
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from gambrel.catalog.kinds import Kind
from gambrel.hang.figures import LossFigures, loss_figures
from gambrel.measures import CannotDo, Estimate, Finding

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]


@dataclass(frozen=True, slots=True)
class LossModel:
    """Normal belief about (chill, early, per day) as shares of hot weight; days from the hot scale.

    `weighings` counts what it has learned from. Days beyond `last_day` are refused, not extended.
    """

    mean: Vector
    covariance: Matrix
    noise_share: float
    last_day: float
    days_source: str
    early_days: float
    chill_falloff_per_day: float
    weighings: int = 0

    @classmethod
    def prior(cls, kind: Kind, *, fat_mm: float | None, side_hot_kg: float | None = None) -> LossModel:
        """What the tables say for `kind`; unknown fat cover takes the kind's usual and widens the spread."""
        figures = loss_figures()
        row = figures.of(kind)
        usual_mm = kind.fat_mm.mean if side_hot_kg is None else kind.usual_fat_mm(2 * side_hot_kg)
        fat = usual_mm if fat_mm is None else fat_mm
        bareness = _bareness(figures, fat) - _bareness(figures, row.at_fat_mm)
        bareness_sd = (
            _bareness(figures, fat) / figures.cover_fades_mm * kind.fat_mm.sd if fat_mm is None else 0.0
        )
        small_kg = max(0.0, figures.small_below_kg - (side_hot_kg or figures.small_below_kg))
        small = (figures.small_share_per_kg2 * small_kg**2, 0.0, 0.0)
        means, variances = [], []
        for spread, cover, extra in zip(row.parameters, figures.cover_shares, small, strict=True):
            # However thick the cover, a side loses something: a tenth of the usual is the floor.
            means.append(max(0.1 * spread.mean, spread.mean + cover * bareness + extra))
            variances.append(spread.sd**2 + (cover * bareness_sd) ** 2)
        chill, early, per_day = variances
        return cls(
            mean=(means[0], means[1], means[2]),
            covariance=((chill, 0.0, 0.0), (0.0, early, 0.0), (0.0, 0.0, per_day)),
            noise_share=figures.noise_share,
            last_day=row.last_day,
            days_source=row.days_source,
            early_days=figures.early_days,
            chill_falloff_per_day=figures.chill_falloff_per_day,
        )

    def with_noise(self, noise_share: float) -> LossModel:
        """The same belief with another standard deviation of one weighing, as a share of hot weight."""
        if not noise_share > 0:
            raise ValueError("noise_share must be above 0")
        return replace(self, noise_share=noise_share)

    def basis(self, day: float) -> Vector:
        """What each parameter counts for on `day`; `CannotDo` outside the days the source covers."""
        if not 0.0 <= day <= self.last_day:
            wanted = f"0 to {self.last_day:g} days"
            do = f"The figures stop there ({self.days_source}); weigh the side."
            raise CannotDo([Finding("day on the rail", f"{day:g}", wanted, do)])
        falloff = self.chill_falloff_per_day
        ramp = math.expm1(-falloff * min(day, 1.0)) / math.expm1(-falloff)
        after = max(0.0, day - 1.0)
        return ramp, -math.expm1(-after / self.early_days), after

    def updated(self, day: Sequence[float], lost_share: Sequence[float]) -> LossModel:
        """Belief after weighings, in any order: `lost_share[i]` of the hot weight was gone on `day[i]`."""
        if len(day) != len(lost_share):
            raise ValueError("one lost_share for each day")
        if not day:
            return self
        import numpy as np

        rows = np.array([self.basis(one) for one in day])
        seen = np.asarray(lost_share, dtype=np.float64)
        if not np.all(np.isfinite(seen)):
            raise ValueError("lost_share must be finite")
        before = np.linalg.inv(np.array(self.covariance))
        precision = before + rows.T @ rows / self.noise_share**2
        covariance = np.linalg.inv(precision)
        mean = covariance @ (before @ np.array(self.mean) + rows.T @ seen / self.noise_share**2)
        first, second, third = (_vector(row) for row in (covariance + covariance.T) / 2)
        return replace(
            self,
            mean=_vector(mean),
            covariance=(first, second, third),
            weighings=self.weighings + len(day),
        )

    def remaining_mean(self, day: float) -> float:
        """Expected share of the hot weight left; never rises from day to day and stays from 0 to 1."""
        return 1.0 - min(1.0, self._mean_lost(day))

    def remaining_sd(self, day: float) -> float:
        """Standard deviation of the share left (of the weight itself, without the scale's noise)."""
        row = self.basis(day)
        variance = sum(row[i] * self.covariance[i][j] * row[j] for i in range(3) for j in range(3))
        return math.sqrt(max(0.0, variance))

    def remaining_share(self, day: float) -> Estimate:
        """Share of the hot weight left with its 90 % interval, kept from 0 to 1."""
        spread = Estimate.normal(self.remaining_mean(day), self.remaining_sd(day))
        return Estimate(mean=spread.mean, p05=max(0.0, spread.p05), p95=min(1.0, spread.p95))

    def weighed_share(self, day: float) -> Estimate:
        """What a scale will show, as a share of hot weight: weight and noise of one weighing together."""
        return Estimate.normal(self.remaining_mean(day), math.hypot(self.remaining_sd(day), self.noise_share))

    def draw_remaining(self, day: float, draws: int, rng: np.random.Generator) -> NDArray[np.float64]:
        """`draws` equally likely shares of the hot weight left on `day`, each from 0 to 1."""
        import numpy as np

        values = self.remaining_mean(day) + self.remaining_sd(day) * rng.standard_normal(draws)
        return np.clip(values, 0.0, 1.0)

    def _mean_lost(self, day: float) -> float:
        """Largest mean loss up to `day`: odd weighings may bend the curve back, weight does not come back."""
        reached = [day, min(day, 1.0)]
        _, early, per_day = self.mean
        if per_day * early < 0 and day > 1.0:
            # The rate, per_day + early / early_days * exp(-after / early_days), changes sign at most once.
            ratio = -early / (self.early_days * per_day)
            turn = 1.0 + self.early_days * math.log(ratio) if ratio > 1.0 else 1.0
            reached.append(min(day, turn))
        return max(0.0, *(self._dot(one) for one in reached))

    def _dot(self, day: float) -> float:
        return sum(weight * value for weight, value in zip(self.basis(day), self.mean, strict=True))


def _bareness(figures: LossFigures, fat_mm: float) -> float:
    """1 for bare lean, fading to 0 under thick cover."""
    return math.exp(-max(0.0, fat_mm) / figures.cover_fades_mm)


def _vector(values: NDArray[np.float64]) -> Vector:
    first, second, third = values.tolist()
    return first, second, third
