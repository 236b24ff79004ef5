"""Whether the profit that was forecast came: by head, with the bias and how often it lay in its interval."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from gambrel.learn.chances import student_width
from gambrel.measures import Estimate


@dataclass(frozen=True, slots=True)
class AnimalProfit:
    """One animal: profit forecast before it was cut, with its 90 % interval, and what came, in cents."""

    animal: str
    kind: str
    day: date
    forecast_cents: Estimate
    actual_cents: float

    @property
    def over_cents(self) -> float:
        """What came beyond the forecast; below nothing where less came."""
        return self.actual_cents - self.forecast_cents.mean

    @property
    def is_inside(self) -> bool:
        return self.forecast_cents.p05 <= self.actual_cents <= self.forecast_cents.p95


@dataclass(frozen=True, slots=True)
class ProfitTruth:
    """All animals, or those of one `kind` ("" for all). `over_cents` is the mean a head beyond the forecast, with
    Student's 90 % interval; `off_cents` the mean size of the error; `inside_share` how many lay in their interval."""

    kind: str
    animals: int
    forecast_cents: float
    actual_cents: float
    over_cents: Estimate
    off_cents: float
    inside_share: float

    @property
    def leans(self) -> bool:
        """The forecast is too high or too low beyond chance, nine times in ten."""
        return self.animals > 1 and not self.over_cents.p05 <= 0.0 <= self.over_cents.p95


def profit_truth(animals: Sequence[AnimalProfit]) -> tuple[ProfitTruth, ...]:
    """All animals first, then every kind by name; () without an animal. One animal alone has no interval."""
    if not animals:
        return ()
    kinds = sorted({one.kind for one in animals})
    return (
        _truth("", animals),
        *(_truth(kind, [one for one in animals if one.kind == kind]) for kind in kinds),
    )


def _truth(kind: str, animals: Sequence[AnimalProfit]) -> ProfitTruth:
    count = len(animals)
    over = [one.over_cents for one in animals]
    mean = math.fsum(over) / count
    half = 0.0
    if count > 1:
        variance = math.fsum((one - mean) ** 2 for one in over) / (count - 1)
        half = student_width(count - 1) * math.sqrt(variance / count)
    return ProfitTruth(
        kind, count,
        math.fsum(one.forecast_cents.mean for one in animals),
        math.fsum(one.actual_cents for one in animals),
        Estimate(mean, mean - half, mean + half),
        math.fsum(abs(one) for one in over) / count,
        sum(one.is_inside for one in animals) / count,
    )  # fmt: skip
