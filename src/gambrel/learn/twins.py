"""From one side of an animal the other: two sides are more alike than two animals.

The spread of the shares splits into what both sides have in common and what is each side's own. The own part is
learned from animals of which both sides were weighed (half the covariance of their difference), with a prior; the
weighed side then tells the other one as one jointly normal vector tells another [Anderson, "An Introduction to
Multivariate Statistical Analysis", section 2.5, Wiley, 2003].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gambrel.breakdown.composition import Floats, ilr_basis, to_coordinates, to_shares
from gambrel.breakdown.share_model import ShareModel, usual_relative_sd

OWN_SHARE = 0.5
"""Of the variance between sides, what is each side's own before any pair was weighed: from memory."""

_WORTH = 6.0  # pairs the prior counts for


@dataclass(frozen=True)
class Twins:
    """How unlike two sides of an animal are: `own` (coordinates, coordinates), and how many `pairs` told."""

    parts: tuple[str, ...]
    own: Floats
    pairs: int = 0

    @classmethod
    def from_prior(cls, parts: Sequence[str], mean_shares: Floats | None = None) -> Twins:
        """Before any pair: a share of the book's usual spread of parts this large."""
        mean = np.full(len(parts), 1.0 / len(parts)) if mean_shares is None else mean_shares
        basis = ilr_basis(len(parts))
        return cls(tuple(parts), OWN_SHARE * (basis * usual_relative_sd(mean) ** 2) @ basis.T)

    def learned(self, left_kg: Floats, right_kg: Floats) -> Twins:
        """With pairs of sides (pairs, parts) of the same animals, all weights above 0."""
        if left_kg.shape != right_kg.shape or left_kg.shape[1] != len(self.parts):
            raise ValueError("pairs of sides have the same parts")
        if np.any(left_kg <= 0.0) or np.any(right_kg <= 0.0):
            raise ValueError("every part of a pair must have been weighed")
        apart = to_coordinates(left_kg) - to_coordinates(right_kg)
        worth = _WORTH + self.pairs
        own = (worth * self.own + 0.5 * apart.T @ apart) / (worth + len(apart))
        return replace(self, own=own, pairs=self.pairs + len(apart))

    def other_side(
        self,
        model: ShareModel,
        weighed_kg: Floats,
        covariates: Floats | None = None,
        *,
        draws: int,
        seed: int,
    ) -> Floats:
        """Equally likely shares (draws, animals, parts) of the other sides, given those weighed (animals, parts).

        `model` forecasts a side of such an animal; what it does not know of the shop counts to what sides share.
        """
        rng = np.random.default_rng(seed)
        told = to_coordinates(model.forecast(covariates, draws=max(draws, 400), seed=seed))
        seen = to_coordinates(weighed_kg)
        size = told.shape[-1]
        other = np.empty((draws, len(seen), size))
        for number, side in enumerate(seen):
            of_animal = told[:, min(number, told.shape[1] - 1)]
            mean, total = of_animal.mean(axis=0), np.atleast_2d(np.cov(of_animal, rowvar=False)) + self.own
            shared = total - self.own
            gain = np.linalg.solve(total, shared).T
            left = total - gain @ shared
            root = np.linalg.cholesky((left + left.T) / 2.0)
            other[:, number] = mean + gain @ (side - mean) + rng.standard_normal((draws, size)) @ root.T
        return to_shares(other)
