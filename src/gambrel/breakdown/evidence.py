"""The regression behind a share model: sums over the tests, and the scales of the prior they speak for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gambrel.breakdown.composition import Floats

# Factors tried for each scale, as powers of e; the preference is a normal on the log around the stated value.
_BOOK_FACTORS = np.exp(np.array([0.0, -0.7, -1.6, -2.3, -3.5, -4.6, -5.8]))
_SPREAD_FACTORS = np.exp(np.linspace(-3.0, 1.5, 10))
_SLOPE_FACTORS = np.exp(np.arange(-4, 5) * 0.7)
_BOOK_LEAN, _SPREAD_LEAN, _SLOPE_LEAN = 1.5, 1.0, 2.0
_SWEEPS = 3
# Two or three carcasses say nothing of how far a covariate usually ranges, so it is left out until there are more.
_FEWEST_FOR_SLOPES = 4


@dataclass(frozen=True, slots=True)
class Sums:
    """Sums of products over all tests: of (1, covariates) with itself, with the coordinates, and of those."""

    count: float
    xx: Floats
    xy: Floats
    yy: Floats

    @classmethod
    def none(cls, covariates: int, coordinates: int) -> Sums:
        k = covariates + 1
        return cls(0.0, np.zeros((k, k)), np.zeros((k, coordinates)), np.zeros((coordinates, coordinates)))

    def plus(self, x: Floats, y: Floats) -> Sums:
        """The sums with tests added: covariates `x` (n, covariates), coordinates `y` (n, coordinates)."""
        w = np.hstack([np.ones((len(x), 1)), x])
        return Sums(self.count + len(x), self.xx + w.T @ w, self.xy + w.T @ y, self.yy + y.T @ y)


@dataclass(frozen=True, slots=True)
class Fit:
    """What the tests and the book say together.

    A forecast at covariates x is book + design(x) @ coefficients with a Student t of `df` degrees of freedom,
    scale matrix `spread` times (1 + the design's own uncertainty, whose square root is `root`).
    """

    coefficients: Floats
    root: Floats
    spread: Floats
    df: float
    centre: Floats
    scale: Floats

    def design(self, x: Floats) -> Floats:
        """(1, standardised covariates); a covariate that never varied counts as 0."""
        z = np.where(np.isfinite(self.scale), (x - self.centre) / self.scale, 0.0)
        return np.concatenate([np.ones((*x.shape[:-1], 1)), z], axis=-1)


def fit_scales(
    sums: Sums, *, spread: Floats, worth: float, df: float, slope_sd: float, centre: Floats, scale: Floats
) -> Fit:
    """The fit at the scales with the highest evidence.

    `spread` is the book's covariance of the coordinates, `df` the degrees of freedom of a forecast without
    tests; `centre` and `scale` may hold NaN for "from the tests".
    """
    middle, size = _standardise(sums, centre, scale)
    tests = _Tests(_rotate(sums, middle, size), spread * df / (1.0 + 1.0 / worth), df)
    slopes = len(size)
    book, width, slope = 1.0, 1.0, np.ones(slopes)
    if sums.count:
        for _ in range(_SWEEPS):
            book = max(_BOOK_FACTORS, key=lambda f: tests.evidence(worth, slope_sd, f, width, slope))
            width = max(_SPREAD_FACTORS, key=lambda f: tests.evidence(worth, slope_sd, book, f, slope))
            for k in range(slopes):
                slope = max(_with(slope, k), key=lambda s: tests.evidence(worth, slope_sd, book, width, s))
    weight = _weights(worth, slope_sd, book, slope)
    normal = tests.sums.xx + np.diag(weight)
    coefficients: Floats = np.asarray(np.linalg.solve(normal, tests.sums.xy))
    scatter = width * tests.scatter + tests.sums.yy - tests.sums.xy.T @ coefficients
    total_df = df + sums.count
    root: Floats = np.asarray(np.linalg.cholesky(np.linalg.inv(normal)))
    return Fit(coefficients, root, (scatter + scatter.T) / (2.0 * total_df), total_df, middle, size)


@dataclass(frozen=True, slots=True)
class _Tests:
    sums: Sums
    scatter: Floats
    df: float

    def evidence(self, worth: float, slope_sd: float, book: float, width: float, slope: Floats) -> float:
        """Log of how well these scales foretell the tests, up to a constant, with the stated ones preferred."""
        fit = log_evidence(
            self.sums, weight=_weights(worth, slope_sd, book, slope), scatter=width * self.scatter, df=self.df
        )
        preference = ((np.log(book) / _BOOK_LEAN) ** 2 + (np.log(width) / _SPREAD_LEAN) ** 2
                      + ((np.log(slope) / _SLOPE_LEAN) ** 2).sum())  # fmt: skip
        return float(fit - 0.5 * preference)


def log_evidence(sums: Sums, *, weight: Floats, scatter: Floats, df: float) -> Floats:
    """Log of how well each of some priors foretells the tests, up to a constant: matrix-normal with precision `weight`
    (..., design) for the coefficients, inverse-Wishart with `scatter` (..., coordinates, coordinates) for the spread,
    `df` for a forecast without tests.
    """
    coordinates = scatter.shape[-1]
    nu = df + coordinates - 1.0
    normal = sums.xx + np.eye(weight.shape[-1]) * weight[..., None]
    left = sums.yy - sums.xy.T @ np.linalg.solve(
        normal, np.broadcast_to(sums.xy, (*normal.shape[:-1], coordinates))
    )
    told: Floats = np.asarray(
        -0.5 * coordinates * (np.linalg.slogdet(normal)[1] - np.log(weight).sum(axis=-1))
        + 0.5 * nu * np.linalg.slogdet(scatter)[1]
        - 0.5 * (nu + sums.count) * np.linalg.slogdet(scatter + left)[1]
    )
    return told


def _weights(worth: float, slope_sd: float, book: float, slope: Floats) -> Floats:
    """Prior precision of the intercept and of each slope, in units of the spread."""
    return np.concatenate([[worth * book], 1.0 / (slope_sd**2 * slope)])


def _with(slope: Floats, k: int) -> list[Floats]:
    tried = []
    for factor in _SLOPE_FACTORS:
        changed = slope.copy()
        changed[k] = factor
        tried.append(changed)
    return tried


def _standardise(sums: Sums, centre: Floats, scale: Floats) -> tuple[Floats, Floats]:
    """Given centre and scale, or mean and standard deviation of the tests; infinite scale where nothing varied."""
    if not sums.count:
        return np.nan_to_num(centre), np.where(np.isnan(scale), np.inf, scale)
    mean = sums.xx[0, 1:] / sums.count
    variance = np.maximum(np.diag(sums.xx)[1:] / sums.count - mean**2, 0.0)
    still = variance <= 1e-10 * np.maximum(mean**2, 1e-12)
    own = np.where(still | (sums.count < _FEWEST_FOR_SLOPES), np.inf, np.sqrt(variance))
    return np.where(np.isnan(centre), mean, centre), np.where(np.isnan(scale), own, scale)


def _rotate(sums: Sums, centre: Floats, scale: Floats) -> Sums:
    """The same sums for (1, standardised covariates)."""
    k = len(scale)
    change = np.eye(k + 1)
    inverse = np.where(np.isfinite(scale), 1.0 / scale, 0.0)
    change[1:, 0] = -centre * inverse
    change[1:, 1:] = np.diag(inverse)
    return Sums(sums.count, change @ sums.xx @ change.T, change @ sums.xy, sums.yy)
