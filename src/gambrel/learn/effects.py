"""A regression with effects by kind, supplier and cutter that shrink to nothing where the tests do not bear them out.

Rows are log-ratio coordinates of cutting tests less the book's. All effects share the shape of the spread from
carcass to carcass (matrix-normal), so that one number a group says how large they are; it is chosen by the
marginal likelihood, with a weak preference for small ones. [Box & Tiao, "Bayesian Inference in Statistical
Analysis", chapter 8, Addison-Wesley, 1973; Gelman & Hill, "Data Analysis Using Regression and Multilevel
Models", chapter 12, Cambridge University Press, 2007.]
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from gambrel.breakdown.composition import Floats
from gambrel.breakdown.evidence import Fit, Sums, log_evidence

GROUPS = ("kind", "supplier", "cutter")
"""What a test belongs to. An empty name in a group is no level: nobody knows, and no effect is learned."""

Level = tuple[str, str]

# Factors tried for each scale. Stated and leaning values are from memory; the evidence moves them.
_BOOK_FACTORS = np.exp(np.array([0.0, -0.7, -1.6, -2.3, -3.5, -4.6, -5.8]))
_WIDTH_FACTORS = np.exp(np.linspace(-3.0, 1.5, 10))
_SLOPE_FACTORS = np.exp(np.arange(-4, 5) * 0.7)
_EFFECTS = np.array([1e-6, 0.003, 0.01, 0.03, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2])
_STATED_EFFECT = 0.03
_BOOK_LEAN, _WIDTH_LEAN, _SLOPE_LEAN, _EFFECT_LEAN = 1.5, 1.0, 2.0, 3.0
_SWEEPS = 2


@dataclass(frozen=True)
class Prior:
    """What the book says of one way: `spread` (coordinates, coordinates) from carcass to carcass, the book's mean
    `worth` so many carcasses, `df` of a forecast without tests, `slope_sd` of each of `covariates` covariates."""

    spread: Floats
    worth: float
    df: float
    slope_sd: float
    covariates: int

    @property
    def scatter(self) -> Floats:
        return self.spread * self.df / (1.0 + 1.0 / self.worth)


@dataclass(frozen=True)
class Scales:
    """How far the book may be wrong (factor on its worth), the width of the spread, each slope, and each group's
    effects as a variance in units of the spread."""

    book: float
    width: float
    slope: tuple[float, ...]
    effect: Mapping[str, float]

    @classmethod
    def stated(cls, covariates: int) -> Scales:
        return cls(1.0, 1.0, (1.0,) * covariates, {"supplier": _STATED_EFFECT, "cutter": _STATED_EFFECT})


@dataclass(frozen=True)
class Effects:
    """Sums over the tests with the scales that suit them. Columns: 1, the covariates, one a level."""

    prior: Prior
    levels: tuple[Level, ...]
    sums: Sums
    scales: Scales

    @classmethod
    def none(cls, prior: Prior) -> Effects:
        return cls(prior, (), Sums.none(prior.covariates, len(prior.spread)), Scales.stated(prior.covariates))

    def with_levels(self, levels: Iterable[Level]) -> Effects:
        """The same with room for new levels, of which nothing is known yet."""
        new = tuple(sorted({level for level in levels if level[1]} - set(self.levels)))
        if not new:
            return self
        size, more = len(self.sums.xx), len(new)
        xx = np.zeros((size + more, size + more))
        xx[:size, :size] = self.sums.xx
        xy = np.vstack([self.sums.xy, np.zeros((more, self.sums.xy.shape[1]))])
        return replace(self, levels=self.levels + new, sums=replace(self.sums, xx=xx, xy=xy))

    def design(self, z: Floats, names: Mapping[str, Iterable[str]]) -> Floats:
        """Rows of the regression for covariates `z` (n, covariates) and the name of each row in each group."""
        first = 1 + self.prior.covariates
        rows = np.zeros((len(z), first + len(self.levels)))
        rows[:, 0] = 1.0
        rows[:, 1:first] = z
        column = {level: first + number for number, level in enumerate(self.levels)}
        for group, of_group in names.items():
            for number, name in enumerate(of_group):
                at = column.get((group, name))
                if at is not None:
                    rows[number, at] = 1.0
        return rows

    def tuned(self) -> Effects:
        """The same with the scales of the highest evidence."""
        if not self.sums.count:
            return self
        scales = self.scales
        present = {group for group, _ in self.levels}
        for _ in range(_SWEEPS):
            scales = self._best([replace(scales, book=float(f)) for f in _BOOK_FACTORS])
            scales = self._best([replace(scales, width=float(f)) for f in _WIDTH_FACTORS])
            for at in range(self.prior.covariates):
                tried = [(*scales.slope[:at], float(f), *scales.slope[at + 1 :]) for f in _SLOPE_FACTORS]
                scales = self._best([replace(scales, slope=slope) for slope in tried])
            for group in ("supplier", "cutter"):
                if group in present:
                    tries = [{**scales.effect, group: float(effect)} for effect in _EFFECTS]
                    scales = self._best([replace(scales, effect=effect) for effect in tries])
        return replace(self, scales=scales)

    def _best(self, tried: list[Scales]) -> Scales:
        return tried[int(np.argmax(self.evidence(tried)))]

    def evidence(self, tried: list[Scales]) -> Floats:
        """Log of how well each of some scales foretells the tests, up to a constant, the stated ones preferred."""
        weight = np.stack([self._weight(scales) for scales in tried])
        width = np.array([scales.width for scales in tried])
        scatter = width[:, None, None] * self.prior.scatter
        told = log_evidence(self.sums, weight=weight, scatter=scatter, df=self.prior.df)
        return told - 0.5 * np.array([_lean(scales) for scales in tried])

    def _weight(self, scales: Scales) -> Floats:
        """Prior precision of every column, in units of the spread. With kinds to tell apart, half of what the book
        may be wrong by is the shop's and half each kind's own: so kinds lend to each other."""
        of_book = self.prior.worth * scales.book * (2.0 if self._has("kind") else 1.0)
        slopes = [1.0 / (self.prior.slope_sd**2 * slope) for slope in scales.slope]
        levels = [of_book if group == "kind" else 1.0 / scales.effect[group] for group, _ in self.levels]
        return np.array([of_book, *slopes, *levels])

    def _has(self, group: str) -> bool:
        return any(name == group for name, _ in self.levels)

    def strange_variance(self, group: str) -> float:
        """Variance of the effect of a level of this group that no test has met, in units of the spread."""
        if not self._has(group):
            return 0.0
        return 0.5 / (self.prior.worth * self.scales.book) if group == "kind" else self.scales.effect[group]

    def coefficients(self) -> tuple[Floats, Floats]:
        """Covariance of the coefficients (columns, columns), in units of the spread, and the coefficients."""
        covariance: Floats = np.asarray(np.linalg.inv(self.sums.xx + np.diag(self._weight(self.scales))))
        return covariance, np.asarray(covariance @ self.sums.xy)

    def solved(self) -> Solved:
        """Coefficients (columns, coordinates), their covariance (columns, columns), and the spread with its df."""
        covariance, coefficients = self.coefficients()
        scatter = self.scales.width * self.prior.scatter + self.sums.yy - self.sums.xy.T @ coefficients
        df = self.prior.df + self.sums.count
        spread: Floats = np.asarray((scatter + scatter.T) / (2.0 * df))
        return Solved(self, coefficients, covariance, spread, df)


def _lean(scales: Scales) -> float:
    """How far scales are from the stated ones."""
    far = [
        (scales.book, _BOOK_LEAN),
        (scales.width, _WIDTH_LEAN),
        *((one, _SLOPE_LEAN) for one in scales.slope),
    ]
    far += [(effect / _STATED_EFFECT, _EFFECT_LEAN) for effect in scales.effect.values()]
    return sum((math.log(factor) / lean) ** 2 for factor, lean in far)


@dataclass(frozen=True)
class Solved:
    """The answer of `Effects`: all that a forecast, a comparison or a scorecard asks."""

    effects: Effects
    coefficients: Floats
    covariance: Floats
    spread: Floats
    df: float

    def fit_of(self, of: Mapping[str, str], *, centre: Floats, scale: Floats) -> Fit:
        """The fit for one carcass of this kind, supplier and cutter; a name never met widens it.

        `centre` and `scale` standardise the covariates of the forecast.
        """
        first = 1 + self.effects.prior.covariates
        pick = np.eye(first, len(self.covariance))
        strange = 0.0
        for group in GROUPS:
            level = (group, of.get(group, ""))
            if level in self.effects.levels:
                pick[0, first + self.effects.levels.index(level)] = 1.0
            else:
                strange += self.effects.strange_variance(group)
        covariance = pick @ self.covariance @ pick.T
        covariance[0, 0] += strange
        root: Floats = np.asarray(np.linalg.cholesky(covariance))
        return Fit(pick @ self.coefficients, root, self.spread, self.df, centre, scale)

    def effect_of(self, level: Level) -> tuple[Floats, float]:
        """The effect of one level (coordinates,) and its variance in units of the spread."""
        at = 1 + self.effects.prior.covariates + self.effects.levels.index(level)
        return self.coefficients[at], float(self.covariance[at, at])
