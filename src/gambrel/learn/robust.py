"""Cutting tests made fit for a regression: gaps filled as the weighed parts say, wild weights and wild sides tamed.

A gap is filled with what the weighed parts lead one to expect, with its doubt (the E-step of Dempster, Laird &
Rubin, "Maximum likelihood from incomplete data via the EM algorithm", Journal of the Royal Statistical Society B 39,
1977). A single weight that nothing else on its side bears out is treated as a gap (the idea of Rousseeuw & Van den
Bossche, "Detecting deviating data cells", Technometrics 60, 2018). A side that is odd as a whole counts for less, as
under a Student t (Lange, Little & Taylor, "Robust statistical modeling using the t distribution", Journal of the
American Statistical Association 84, 1989).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown.composition import Floats, ilr_basis

ROBUST_DF = 8.0
"""Degrees of freedom of the spread from carcass to carcass: a side four times as odd as usual counts half."""

_WILD = 12.0
"""A weight is wild when leaving it out brings its side this much nearer: once in two thousand by chance."""

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Judged:
    """What a regression says of tests: `mean` (tests, coordinates), `spread` with its `df`, and the `leverage`
    (tests,): how much each test drew its own mean, below 0 for one that the regression has not seen."""

    mean: Floats
    spread: Floats
    df: float
    leverage: Floats

    @property
    def room(self) -> Floats:
        """Variance of a test about its own mean, in units of the spread."""
        return np.maximum(1.0 - self.leverage, 0.1)

    @property
    def wild_bound(self) -> float:
        """`_WILD` for a spread known with `df` degrees of freedom [Wallace, "Bounds on normal approximations to
        Student's and the chi-square distributions", Annals of Mathematical Statistics 30, 1959]."""
        df = self.df
        return float(df * np.expm1(_WILD * ((8.0 * df + 3.0) / (8.0 * df + 1.0)) ** 2 / df))


@dataclass(frozen=True)
class Filled:
    """Coordinates (tests, coordinates) without gaps, how much each test counts (tests,), the doubt of what was
    filled added over all tests (coordinates, coordinates), and which cells were used (tests, parts)."""

    y: Floats
    weight: Floats
    doubt: Floats
    used: Mask


def fill(departure: Floats, judged: Judged, used: Mask, *, age_weight: Floats) -> Filled:
    """Fills the cells of `departure` (tests, parts) that are not `used`. A partial test counts by the share of its
    parts that were weighed, an odd one less than one.
    """
    mean, spread = judged.mean, judged.spread
    tests, parts = departure.shape
    size = parts - 1
    basis = ilr_basis(parts)
    y = np.empty((tests, size))
    weight = np.empty(tests)
    doubt = np.zeros((size, size))
    for rows, seen in _by_pattern(used):
        known = int(seen.sum())
        if known < 2:  # nothing to go by: the mean itself, counting for nothing
            y[rows], weight[rows] = mean[rows], 0.0
            continue
        to_seen = ilr_basis(known) @ basis[:, seen].T  # the seen parts' own coordinates from the whole's
        off = departure[rows][:, seen] @ ilr_basis(known).T - mean[rows] @ to_seen.T
        within = to_seen @ spread @ to_seen.T
        gain = np.linalg.solve(within, to_seen @ spread)
        y[rows] = mean[rows] + off @ gain
        far = np.einsum("ij,ij->i", off, np.linalg.solve(within, off.T).T)
        tame = np.minimum((ROBUST_DF + known - 1.0) / (ROBUST_DF + far / judged.room[rows]), 1.0)
        weight[rows] = age_weight[rows] * tame * (known - 1.0) / size
        left = spread - spread @ to_seen.T @ gain
        doubt += float(weight[rows].sum()) * left
    return Filled(y, weight, (doubt + doubt.T) / 2.0, used)


def wild_cells(departure: Floats, judged: Judged) -> Mask:
    """Cells (tests, parts) whose weight nothing else on their side bears out; at most half of a side.

    The wildest goes first, and the rest is looked at anew without it: one slip makes its neighbours look odd."""
    basis = ilr_basis(departure.shape[1])
    usable = np.isfinite(departure)
    off = departure - judged.mean @ basis
    left = usable.copy()
    looked_at = np.ones(len(departure), dtype=bool)
    while looked_at.any():
        odd = np.zeros(len(departure), dtype=bool)
        for rows, seen in _by_pattern(left & looked_at[:, None]):
            if seen.sum() < 3:
                continue
            nearer = _nearer(off[rows][:, seen], basis[:, seen], judged.spread) / judged.room[rows, None]
            worst = np.argmax(nearer, axis=1)
            out = nearer[np.arange(len(rows)), worst] >= judged.wild_bound
            out &= 2 * seen.sum() > usable[rows].sum(axis=1) + 1
            left[rows[out], np.flatnonzero(seen)[worst[out]]] = False
            odd[rows[out]] = True
        looked_at = odd
    return usable & ~left


def _nearer(off: Floats, columns: Floats, spread: Floats) -> Floats:
    """By how much the squared distance of a side (tests, parts) falls when each of its parts is left out."""
    own = ilr_basis(off.shape[1])
    to_own = own @ columns.T
    precision = own.T @ np.linalg.inv(to_own @ spread @ to_own.T) @ own
    nearer: Floats = np.square(off @ precision) / np.diag(precision)
    return nearer


def _by_pattern(used: Mask) -> list[tuple[NDArray[np.int_], Mask]]:
    """Rows that lack the same parts, together."""
    rows: dict[bytes, list[int]] = {}
    for number, row in enumerate(used):
        rows.setdefault(row.tobytes(), []).append(number)
    return [(np.array(numbers), used[numbers[0]]) for numbers in rows.values()]
