"""What a marbling share says of the marbling degree and of fat in the lean: estimates, never a grade.

No published table gives a share of area for each degree. The estimate goes by way of fat: area to fat by the
published line, fat to degree by the published table, each far from exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gambrel.standards.marbling import AREA_LIMITS_PCT, DEGREES, FAT_UNCERTAINTY_PCT, crude_fat_pct

RELATION = "area to fat [jas-78-799], fat to degree [bif-guidelines]"


@dataclass(frozen=True)
class DegreeEstimate:
    """Marbling score 0 to 1000 with its 90 % interval, fat of the lean [%], and whether within the line's range."""

    score: float
    score_interval: tuple[float, float]
    fat_pct: float
    fat_interval: tuple[float, float]
    within_range: bool


def estimate_degree(marbling_pct: float, interval_pct: tuple[float, float]) -> DegreeEstimate:
    """Degree and fat from a marbling share [% of the eye]. [jas-78-799; bif-guidelines]

    The line was fitted over 6.1 to 56.8 % of area. Below, fat runs straight from nothing to the line's lower end,
    common practice without a source, and `within_range` is false.
    """
    fat = fat_of_area_pct(marbling_pct)
    low = max(0.0, fat_of_area_pct(interval_pct[0]) - FAT_UNCERTAINTY_PCT)
    high = fat_of_area_pct(interval_pct[1]) + FAT_UNCERTAINTY_PCT
    return DegreeEstimate(
        score=score_of_fat(fat),
        score_interval=(score_of_fat(low), score_of_fat(high)),
        fat_pct=fat,
        fat_interval=(low, high),
        within_range=AREA_LIMITS_PCT[0] <= marbling_pct <= AREA_LIMITS_PCT[1],
    )


def fat_of_area_pct(area_pct: float) -> float:
    """Fat of the lean [%] at a share of area [%]; rising everywhere."""
    lowest = AREA_LIMITS_PCT[0]
    if area_pct >= lowest:
        return crude_fat_pct(area_pct=area_pct)
    return max(0.0, area_pct) / lowest * crude_fat_pct(area_pct=lowest)


def score_of_fat(fat_pct: float) -> float:
    """Score at a fat content, straight between the middles of the degrees that the table has. [bif-guidelines]"""
    known = [(degree.bif_fat_pct, degree.low + 50.0) for degree in DEGREES if degree.bif_fat_pct is not None]
    fats, scores = (
        np.array([0.0, *(fat for fat, _ in known)]),
        np.array([0.0, *(score for _, score in known)]),
    )
    if fat_pct <= fats[-1]:
        return float(np.interp(fat_pct, fats, scores))
    slope = (scores[-1] - scores[1]) / (fats[-1] - fats[1])
    return float(min(1000.0, scores[-1] + slope * (fat_pct - fats[-1])))
