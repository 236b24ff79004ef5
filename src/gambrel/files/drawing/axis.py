"""A straight scale from figures to places on the paper, and round numbers to mark on it."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Scale:
    """`low` lands on `start`, `high` on `end`; outside goes on in the same step."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def round_step(span: float, count: int) -> float:
    """1, 2, 2.5 or 5 times a power of ten: the step that makes at most about `count` marks in `span`."""
    if not span > 0 or count < 1:
        raise ValueError("a span above 0 and at least one mark are needed")
    rough = span / count
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * factor for factor in (1.0, 2.0, 2.5, 5.0, 10.0) if power * factor >= rough * 0.999)


def round_marks(low: float, high: float, count: int = 6) -> list[float]:
    """Round numbers from `low` to `high`, both within the span."""
    step = round_step(high - low, count)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(index * step, 10) for index in range(first, last + 1)]


def mark_text(value: float) -> str:
    """A mark without needless zeros."""
    return f"{value:,.2f}".rstrip("0").rstrip(".")
