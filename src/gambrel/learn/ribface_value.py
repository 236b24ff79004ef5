"""Whether what was read at the rib face improves the forecast of the yield, and by how much.

Each animal is foretold from all the others, with a figure and without it, by a regression whose answers for "without
this animal" follow from one fit [Allen, "The relationship between variable selection and data augmentation and a
method for prediction", Technometrics 16, 1974].
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from gambrel.breakdown.composition import Floats
from gambrel.measures import Estimate

_RIDGE = 1.0  # a figure counts for nothing until the animals say otherwise: one animal's worth
FEWEST = 8


@dataclass(frozen=True, slots=True)
class FigureValue:
    """What one figure adds to the others: `error_before` and `error_after` are mean absolute errors of the yield,
    in its own unit; `nearer` by how much each animal was foretold nearer with it; `log_score` the mean gain in log
    probability an animal."""

    figure: str
    animals: int
    error_before: float
    error_after: float
    nearer: Estimate
    log_score: float

    @property
    def helps(self) -> bool:
        """The interval of what it gains lies above nothing."""
        return self.nearer.p05 > 0.0


def figure_values(figures: Mapping[str, Sequence[float]], yields: Sequence[float]) -> tuple[FigureValue, ...]:
    """What each figure (fat, ribeye area, marbling, one value an animal) adds to the rest, the most helpful first.

    `yields` is a yield share or its departure from the book, one an animal; too few animals give nothing.
    """
    value = np.asarray(yields, dtype=float)
    if len(value) < FEWEST or not figures:
        return ()
    columns = {name: np.asarray(column, dtype=float) for name, column in figures.items()}
    if any(column.shape != value.shape for column in columns.values()):
        raise ValueError("every figure needs one value an animal")
    off_with, log_with = _left_out(list(columns.values()), value)
    found = []
    for name in columns:
        off, log = _left_out([column for other, column in columns.items() if other != name], value)
        gain = off - off_with
        sd = float(np.std(gain, ddof=1)) / math.sqrt(len(gain))
        found.append(FigureValue(name, len(value), float(off.mean()), float(off_with.mean()),
                                 Estimate.normal(float(gain.mean()), sd), float((log_with - log).mean())))  # fmt: skip
    return tuple(sorted(found, key=lambda one: -one.nearer.mean))


def _left_out(columns: Sequence[Floats], value: Floats) -> tuple[Floats, Floats]:
    """Absolute error and log density of each animal when the fit has not seen it."""
    scaled = [(column - column.mean()) / column.std() for column in columns if column.std() > 0.0]
    rows = np.column_stack([np.ones(len(value)), *scaled])
    ridge = np.diag([0.0] + [_RIDGE] * len(scaled))
    hat = rows @ np.linalg.solve(rows.T @ rows + ridge, rows.T)
    room = 1.0 - np.diag(hat)
    off = (value - hat @ value) / room
    spread = np.sqrt((np.square(off).sum() - np.square(off)) / (len(value) - 1))
    log = -0.5 * np.square(off / spread) - np.log(spread * math.sqrt(2.0 * math.pi))
    return np.abs(off), np.asarray(log)
