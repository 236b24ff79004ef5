"""The mass balance of a side at the block: what came off the rail against everything that was weighed since."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from gambrel.catalog.cuts import Cut
from gambrel.measures import Estimate

GROUPS = ("cuts", "trim", "bone", "fat")
"""Where a weighed piece counts: meat sold as cuts, meat for the grinder, bone, fat."""


def group_of(cut: Cut) -> str:
    return {"grind": "trim", "bone": "bone", "fat": "fat"}.get(cut.use, "cuts")


def tolerance_kg(digits_kg: Iterable[float]) -> float:
    """How far a sum of weights may be off, each of them good to its last digit.

    Errors of single weighings go both ways, so they add as squares [Guide to the expression of uncertainty in
    measurement, section 5.1.2, JCGM 100, BIPM, 2008].
    """
    return math.hypot(*digits_kg)


@dataclass(frozen=True, slots=True)
class Balance:
    """Weights in kg. `loss_kg` is what saw, drip and air are expected to take; without a forecast it is nothing.

    `missing_kg` is what was not weighed (below 0: more was weighed than hung). `tolerance_kg` follows from the
    digits of every weight, that off the rail among them.
    """

    begun_kg: float
    group_kg: Mapping[str, float]
    loss_kg: Estimate
    tolerance_kg: float

    @property
    def weighed_kg(self) -> float:
        return sum(self.group_kg.values())

    @property
    def missing_kg(self) -> float:
        return self.begun_kg - self.weighed_kg

    @property
    def most_missing_kg(self) -> float:
        """As much may be missing and nothing be wrong: the loss at the top of its interval, and the digits."""
        return self.loss_kg.p95 + self.tolerance_kg

    @property
    def is_short(self) -> bool:
        """More is missing than saw, drip and the scale's digits explain."""
        return self.missing_kg > self.most_missing_kg

    @property
    def is_over(self) -> bool:
        """More was weighed than came off the rail."""
        return self.missing_kg < -self.tolerance_kg

    @property
    def holds(self) -> bool:
        return not (self.is_short or self.is_over)
