"""How well a set of weights at the block fits what was forecast of a side: a density over its lines.

The composition of the pieces is judged by a Student t in log-ratio coordinates fitted to the forecast's draws,
and their total by the weight off the rail less the cutting loss. Pieces that were not weighed by themselves are
left out of the composition, not filled in; a log-ratio of some parts is the same in the whole and in the part
[Aitchison, "The Statistical Analysis of Compositional Data", section 2.5, Chapman & Hall, 1986].
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown.composition import Floats, ilr_basis

Seen = NDArray[np.bool_]

TAIL_DF = 6.0

ZEROS_KG = np.linspace(-0.08, 0.08, 17)
"""What each weight may read too high or too low when the pan is wet, or its zero was set wet and has dried."""

_DRY_SHARE, _WET_KG = 0.8, 0.03  # how often the zero is right, and how far off it is else
_away = np.where(np.abs(ZEROS_KG) < 1e-9, 0.0, np.exp(-np.abs(ZEROS_KG) / _WET_KG))
LOG_ZEROS = np.log(np.where(_away == 0.0, _DRY_SHARE, (1.0 - _DRY_SHARE) * _away / _away.sum()))
"""Log probability of each of `ZEROS_KG` before anything is known."""

_BLUR_SD = 0.04  # of a logarithm: no two cutters part two muscles at quite the same seam
_LOSS_BLUR_SHARE = 0.001  # of the weight off the rail: drip and saw dust beyond the book's interval
_STRANGE_SHARE, _STRANGE_SD = 0.004, 1.2  # a piece that the ways do not give: how much, how unsure
_LOG_STRANGE = math.log(0.002)  # how often such a piece is right all the same
_LOG_UNPARTED, _LOG_MORE = (
    math.log(0.001),
    math.log(0.3),
)  # a piece is left in another one; and one more of them
_LOG_AGAIN = math.log(0.1)  # how often what is left of a piece is put on the scale by itself
_STEPS = 6
# The figures above are from memory; docs/learning.md says how often slips are named with them.


@dataclass(frozen=True)
class Expected:
    """What one side should give. Logarithms of kg by slug: `centre` (pieces,) and `scatter` (pieces, pieces).

    `loss_sd_kg` takes in the digits of the scale. Made with `expected_side`.
    """

    slugs: tuple[str, ...]
    begun_kg: float
    centre: Floats
    scatter: Floats
    loss_kg: float
    loss_sd_kg: float
    strange: frozenset[str] = frozenset()

    @cached_property
    def place(self) -> dict[str, int]:
        return {slug: number for number, slug in enumerate(self.slugs)}

    @cached_property
    def usual_kg(self) -> Floats:
        """Median weight of every piece (pieces,)."""
        return np.exp(self.centre)

    @cached_property
    def _ratios(self) -> dict[bytes, tuple[Floats, Floats, Floats, float]]:
        return {}

    def with_slugs(self, slugs: Iterable[str]) -> Expected:
        """The same with a place for pieces that the chosen ways do not give."""
        new = tuple(dict.fromkeys(slug for slug in slugs if slug not in self.place))
        if not new:
            return self
        size, more = len(self.slugs), len(new)
        scatter = np.zeros((size + more, size + more))
        scatter[:size, :size] = self.scatter
        scatter[size:, size:] = np.eye(more) * _STRANGE_SD**2
        centre = np.concatenate([self.centre, np.full(more, math.log(_STRANGE_SHARE * self.begun_kg))])
        return Expected((*self.slugs, *new), self.begun_kg, centre, scatter, self.loss_kg, self.loss_sd_kg,
                        self.strange | set(new))  # fmt: skip

    def log_density(
        self, total_kg: Floats, counts: Floats, *, unweighed: int | None, balanced: bool = True
    ) -> Floats:
        """Log density (`ZEROS_KG`,) of the lines of a side, per kg each, for every zero the scale may have had.

        Up to what is the same for all explanations. `total_kg` and `counts` (pieces,): weight and number of lines of
        each piece. `unweighed`: the place of a piece that was cut and never put on the scale. Without `balanced` the
        total says nothing.
        """
        seen = counts > 0
        number = int(seen.sum())
        if number < 2:
            return np.full(len(ZEROS_KG), -math.inf)
        basis, centre, whitener, log_det = self._ratio(seen)
        logs = np.log(total_kg[seen])
        apart = whitener @ (basis @ logs - centre)
        size = number - 1
        fit = -0.5 * (TAIL_DF + size) * math.log1p(float(apart @ apart) / TAIL_DF) - log_det
        fit += math.lgamma(0.5 * (TAIL_DF + size)) - 0.5 * size * math.log(TAIL_DF * math.pi)
        fit -= 0.5 * math.log(number) + float(logs.sum())
        weighed_kg = float(total_kg.sum())
        fit += math.log(weighed_kg)
        for several in np.flatnonzero(counts > 1):  # a piece may be shared out over its lines in any way
            lines = float(counts[several])
            fit += math.lgamma(lines) + (lines - 1.0) * (_LOG_AGAIN - math.log(float(total_kg[several])))
        fit += self._log_presence(seen, unweighed)
        true_kg = weighed_kg - ZEROS_KG * float(counts.sum())
        return np.asarray(fit + self._log_total(true_kg, unweighed, balanced=balanced))

    def log_line(self, slug: str, weight_kg: float) -> float:
        """Log density per kg of one line as all there is of a piece of another side like this one."""
        at = self.place[slug]
        sd = math.sqrt(self.scatter[at, at])
        far = (math.log(weight_kg) - self.centre[at]) / sd
        return float(-0.5 * far * far - math.log(sd * math.sqrt(2.0 * math.pi) * weight_kg))

    def _log_total(self, weighed_kg: Floats, unweighed: int | None, *, balanced: bool) -> Floats:
        if not balanced:
            return np.full(len(weighed_kg), -math.log(self.begun_kg))
        wanted_kg, variance = self.begun_kg - self.loss_kg, self.loss_sd_kg**2
        if unweighed is not None:
            usual = float(self.usual_kg[unweighed])
            wanted_kg -= usual
            variance += usual**2 * float(self.scatter[unweighed, unweighed])
        off: Floats = np.square(weighed_kg - wanted_kg)
        return -0.5 * off / variance - 0.5 * math.log(2.0 * math.pi * variance)

    def _log_presence(self, seen: Seen, unweighed: int | None) -> float:
        told, unparted = 0.0, 0
        for number, slug in enumerate(self.slugs):
            if slug in self.strange:
                told += _LOG_STRANGE if seen[number] else 0.0
            elif not seen[number] and number != unweighed:
                unparted += 1
        return told + (_LOG_UNPARTED + (unparted - 1) * _LOG_MORE if unparted else 0.0)

    def _ratio(self, seen: Seen) -> tuple[Floats, Floats, Floats, float]:
        """Coordinates of the seen pieces: basis, their centre, what whitens them, half the log determinant."""
        key = seen.tobytes()
        if key not in self._ratios:
            basis = ilr_basis(int(seen.sum()))
            root = np.linalg.cholesky(basis @ self.scatter[np.ix_(seen, seen)] @ basis.T)
            self._ratios[key] = (basis, basis @ self.centre[seen], np.linalg.inv(root),
                                 float(np.log(np.diag(root)).sum()))  # fmt: skip
        return self._ratios[key]


def expected_side(
    kg: Mapping[str, Floats], loss_kg: Floats, *, begun_kg: float, tolerance_kg: float
) -> Expected:
    """What a side should give, from a forecast's draws of every piece (draws,) and of the cutting loss, in kg.

    The draws are of a side that weighed `begun_kg` off the rail; `tolerance_kg` is what the digits of all weights
    together are good to: within half a digit any error is as likely, hence the root of 12. Draws far out count for
    less, so that a book with heavy tails does not hide everything
    [weights of a multivariate t: Lange, Little & Taylor, "Robust statistical modeling using the t distribution",
    Journal of the American Statistical Association 84, 1989].
    """
    slugs = tuple(kg)
    logs = np.log(np.maximum(np.stack([kg[slug] for slug in slugs], axis=-1), 1e-6))
    centre = np.median(logs, axis=0)
    blur = np.eye(len(slugs)) * _BLUR_SD**2
    scatter = np.cov(logs, rowvar=False) + blur
    for _ in range(_STEPS):
        off = logs - centre
        apart = np.einsum("ij,jk,ik->i", off, np.linalg.inv(scatter), off)
        weight = (TAIL_DF + len(slugs)) / (TAIL_DF + apart)
        centre = weight @ logs / weight.sum()
        scatter = (off * weight[:, None]).T @ off / len(off) + blur
    spread = math.hypot(float(np.std(loss_kg)), _LOSS_BLUR_SHARE * begun_kg, tolerance_kg / math.sqrt(12.0))
    return Expected(slugs, begun_kg, centre, scatter, float(np.mean(loss_kg)), spread)
