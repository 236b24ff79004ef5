"""What comes out of a way of breaking a piece, and how sure: shares learned from cutting tests.

Shares are modelled in isometric log-ratio coordinates by a multivariate linear regression with a conjugate
prior (matrix-normal for the coefficients, inverse-Wishart for the spread: Box & Tiao, "Bayesian Inference in
Statistical Analysis", 1973, chapter 8), so an update is closed-form, tests may come in any order and any number
at a time, and a forecast is a multivariate Student t, wide while little is known.

Three scales of the prior are set by the tests themselves (highest marginal likelihood, with a weak preference
for the stated values): how far the book's shares may be wrong for this shop, how large the spread is, and how
strongly each covariate acts. With no test they are as stated.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from gambrel.breakdown.composition import Floats, fill_by_amalgamation, ilr_basis, to_coordinates, to_shares
from gambrel.breakdown.evidence import Fit, Sums, fit_scales

PRIOR_DF = 2.5
"""Degrees of freedom of a forecast before any test: heavy tails, for a book is a poor guide to one carcass."""


@dataclass(frozen=True)
class ShareModel:
    """Shares of `parts` given `covariates`; make one with `from_prior`, teach it with `update`.

    `mean_shares` (parts,) is the book's mean at the covariates' centre, `relative_sd` (parts,) the book's
    carcass-to-carcass spread of each part, `worth` the number of carcasses the book's mean counts for.
    `centre` and `scale` (covariates,) standardise the covariates; NaN means taken from the tests. `fitted` is a fit
    made elsewhere, of tests that this model does not hold (`learn.yields`); such a model cannot be updated.
    """

    parts: tuple[str, ...]
    mean_shares: Floats
    relative_sd: Floats
    worth: float
    covariates: tuple[str, ...]
    centre: Floats
    scale: Floats
    slope_sd: float
    df: float
    sums: Sums
    fitted: Fit | None = None

    @classmethod
    def from_prior(
        cls,
        parts: tuple[str, ...] | list[str],
        mean_shares: Floats | list[float],
        *,
        worth: float = 3.0,
        covariates: tuple[str, ...] | list[str] = (),
        relative_sd: Floats | list[float] | float | None = None,
        centre: Floats | list[float] | None = None,
        scale: Floats | list[float] | None = None,
        slope_sd: float = 1.0,
        df: float = PRIOR_DF,
    ) -> ShareModel:
        """A model that knows only the book.

        `mean_shares` are positive and are scaled to add to 1. `relative_sd` is the standard deviation of each
        part over its mean; by default `usual_relative_sd`. `slope_sd` is the expected effect of one standard
        deviation of a covariate, in units of the spread; `df` the degrees of freedom of a forecast before
        any test (heavier tails when smaller). Raises ValueError on anything malformed.
        """
        mean = np.asarray(mean_shares, dtype=float)
        k = len(covariates)
        if len(parts) < 2 or len(set(parts)) != len(parts):
            raise ValueError("a share model needs at least two parts, each named once")
        if mean.shape != (len(parts),) or not np.all(np.isfinite(mean)) or np.any(mean <= 0.0):
            raise ValueError(f"mean_shares must be {len(parts)} positive numbers, one a part")
        if not (worth > 0.0 and slope_sd > 0.0 and df > 0.0):
            raise ValueError("worth, slope_sd and df must be above 0")
        mean = mean / mean.sum()
        spread = usual_relative_sd(mean) if relative_sd is None else np.broadcast_to(relative_sd, mean.shape)
        middle = np.full(k, np.nan) if centre is None else np.asarray(centre, dtype=float)
        size = np.full(k, np.nan) if scale is None else np.asarray(scale, dtype=float)
        if middle.shape != (k,) or size.shape != (k,) or np.any(spread <= 0) or np.any(size <= 0):
            raise ValueError("centre and scale must have one number a covariate; scale and spread above 0")
        return cls(
            tuple(parts),
            mean,
            np.asarray(spread, dtype=float),
            worth,
            tuple(covariates),
            middle,
            size,
            slope_sd,
            df,
            Sums.none(k, len(parts) - 1),
        )

    @property
    def tests(self) -> int:
        """How many cutting tests it has learned from."""
        return int(self.sums.count)

    def update(
        self, shares: Floats, covariates: Floats | None = None, *, offset: Floats | None = None
    ) -> ShareModel:
        """A new model that has also learned from cutting tests.

        `shares` (n, parts): zeros and gaps (NaN) are amalgamated, not dropped. `covariates` (n, covariates).
        `offset` (n, parts) or (parts,): known log-factors that were at work on the parts (see `forecast`).
        Raises ValueError when shapes disagree, a share is negative or a row is empty or adds to more than 1.
        """
        if self.fitted is not None:
            raise ValueError("a model that was fitted elsewhere is taught there")
        rows = np.atleast_2d(np.asarray(shares, dtype=float))
        x = self._rows_of_covariates(covariates, len(rows))
        if rows.shape[1] != len(self.parts):
            raise ValueError(f"shares must have {len(self.parts)} columns, one a part, not {rows.shape[1]}")
        known = np.nansum(rows, axis=1)
        if np.any(rows < 0.0) or np.any(np.isinf(rows)) or np.any(known <= 0.0) or np.any(known > 1.0 + 1e-3):
            raise ValueError(
                "each row of shares must be non-negative and add to at most 1, with something in it"
            )
        shift = np.zeros(len(self.parts)) if offset is None else np.asarray(offset, dtype=float)
        usual = np.broadcast_to(self.mean_shares * np.exp(shift), rows.shape)
        filled = np.vstack([fill_by_amalgamation(row[None], u) for row, u in zip(rows, usual, strict=True)])
        y = to_coordinates(filled) - shift @ ilr_basis(len(self.parts)).T - self._book
        return replace(self, sums=self.sums.plus(x, y))

    def forecast(
        self,
        covariates: Floats | None = None,
        *,
        draws: int = 4000,
        seed: int = 0,
        offset: Floats | None = None,
    ) -> Floats:
        """Equally likely shares (draws, m, parts) of m carcasses; each row adds up to 1.

        `covariates` (m, covariates), or (draws, m, covariates) when they are uncertain themselves. `offset`
        broadcastable to (draws, m, parts): log-factors known to act on the parts, such as more fat. What is not
        known about this shop's yields is the same for all carcasses within a draw.
        """
        rng = np.random.default_rng(seed)
        return self.draw(covariates, draws=draws, rng=rng, offset=offset)

    def draw(
        self,
        covariates: Floats | None,
        *,
        draws: int,
        rng: np.random.Generator,
        offset: Floats | None = None,
        normals: Floats | None = None,
    ) -> Floats:
        """As `forecast`, with the caller's source of randomness.

        `normals` (draws, parts), for one carcass: standard normal deviates of the parts, taken instead of the model's
        own. Models that are given the same deviates for a part of the same name tell it too large, or too small,
        together; each by itself is spread as ever.
        """
        fit = self._fit
        x = np.zeros((1, len(self.covariates))) if covariates is None else np.asarray(covariates, dtype=float)
        x = np.atleast_2d(x)
        if x.shape[-1] != len(self.covariates):
            raise ValueError(
                f"covariates must have {len(self.covariates)} columns: {', '.join(self.covariates)}"
            )
        design = fit.design(x)
        size = fit.spread.shape[0]
        swing = np.sqrt(fit.df / rng.chisquare(fit.df, size=(draws, 1, 1)))
        chol = np.linalg.cholesky(fit.spread)
        if normals is None:
            noise = rng.standard_normal((draws, x.shape[-2], size)) @ chol.T
        else:
            noise = (normals @ ilr_basis(len(self.parts)).T @ _symmetric_root(fit.spread))[:, None, :]
        if (
            x.shape[-2] == 1
        ):  # one carcass: what is not known of the yields and of the carcass add up to one spread
            noise *= np.sqrt(1.0 + np.square(design @ fit.root).sum(axis=-1, keepdims=True))
        else:
            noise += design @ (fit.root @ (rng.standard_normal((draws, design.shape[-1], size)) @ chol.T))
        y = self._book + design @ fit.coefficients + swing * noise
        if offset is not None:
            y = y + np.asarray(offset, dtype=float) @ ilr_basis(len(self.parts)).T
        return to_shares(y)

    def mean(self, covariates: Floats | None = None, *, offset: Floats | None = None) -> Floats:
        """Central shares (m, parts) without drawing: the map back of the central coordinates."""
        x = np.zeros((1, len(self.covariates))) if covariates is None else np.atleast_2d(covariates)
        y = self._book + self._fit.design(x) @ self._fit.coefficients
        if offset is not None:
            y = y + np.asarray(offset, dtype=float) @ ilr_basis(len(self.parts)).T
        return to_shares(y)

    @cached_property
    def _book(self) -> Floats:
        return to_coordinates(self.mean_shares)

    @cached_property
    def _fit(self) -> Fit:
        if self.fitted is not None:
            return self.fitted
        basis = ilr_basis(len(self.parts))
        spread = (basis * self.relative_sd**2) @ basis.T
        return fit_scales(self.sums, spread=spread, worth=self.worth, df=self.df, slope_sd=self.slope_sd,
                          centre=self.centre, scale=self.scale)  # fmt: skip

    def _rows_of_covariates(self, covariates: Floats | None, rows: int) -> Floats:
        x = np.zeros((rows, 0)) if covariates is None else np.asarray(covariates, dtype=float)
        if x.ndim == 1:
            x = x.reshape(rows, -1)
        if x.shape != (rows, len(self.covariates)) or not np.all(np.isfinite(x)):
            raise ValueError(f"covariates must be ({rows}, {len(self.covariates)}) finite numbers")
        return x


def _symmetric_root(spread: Floats) -> Floats:
    """The root that turns coordinates as little as it can, so that a part's own deviate stays the part's."""
    sizes, axes = np.linalg.eigh(spread)
    root: Floats = (axes * np.sqrt(np.maximum(sizes, 0.0))) @ axes.T
    return root


def usual_relative_sd(mean_shares: Floats, level: float = 0.11) -> Floats:
    """Spread of each part over its mean, before any test: `level` for a part of 7 %, more for a smaller one.

    From memory, set so that the book alone is honest on measured carcasses; the shop's own tests replace it.
    """
    return level * (np.asarray(mean_shares) / 0.07) ** -0.15
