"""What a marbling share says of the marbling degree and of fat in the lean: estimates, never a grade.

No published table gives a share of area for each degree. The degree is read from three reference pictures of a
published series (Small 00, Modest 00, Slightly Abundant 00), measured by the marbling step of this program: three
points, so the interval is wide. Fat is given by the published line, and only where that was fitted.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gambrel.standards.marbling import AREA_LIMITS_PCT, FAT_UNCERTAINTY_PCT, crude_fat_pct

RELATION = "area to fat [jas-78-799]; area to degree by three reference pictures measured here"

REFERENCE_PICTURES = ((2.51, 400.0), (5.61, 500.0), (11.60, 700.0))
"""Marbling share [% of the eye] read from each reference picture, and the score it stands for. Fitted here, not
published; `python tools/faces/reference_pictures.py FOLDER` measures them again."""

NO_MARBLING_SCORE = 100.0
"""An eye without any marbling is Practically Devoid 00; common practice."""

SCORE_UNCERTAINTY = 100.0
"""Half-width to allow on the score: a whole degree. With three points nothing closer can be said."""


@dataclass(frozen=True)
class DegreeEstimate:
    """Marbling score 0 to 1000 with its 90 % interval; fat of the lean [%], None outside the line's range."""

    score: float
    score_interval: tuple[float, float]
    fat_pct: float | None
    fat_interval: tuple[float, float] | None

    @property
    def within_range(self) -> bool:
        """Whether the share lies where the line from area to fat was fitted."""
        return self.fat_pct is not None


def estimate_degree(marbling_pct: float, interval_pct: tuple[float, float]) -> DegreeEstimate:
    """Degree and fat from a marbling share [% of the eye] and its 90 % interval. [jas-78-799]"""
    low, high = (score_of_area(share) for share in interval_pct)
    fat, fat_interval = None, None
    if AREA_LIMITS_PCT[0] <= marbling_pct <= AREA_LIMITS_PCT[1]:
        fat = crude_fat_pct(area_pct=marbling_pct)
        ends = [crude_fat_pct(area_pct=float(np.clip(share, *AREA_LIMITS_PCT))) for share in interval_pct]
        fat_interval = (max(0.0, ends[0] - FAT_UNCERTAINTY_PCT), ends[1] + FAT_UNCERTAINTY_PCT)
    return DegreeEstimate(
        score=score_of_area(marbling_pct),
        score_interval=(max(0.0, low - SCORE_UNCERTAINTY), min(1000.0, high + SCORE_UNCERTAINTY)),
        fat_pct=fat,
        fat_interval=fat_interval,
    )


def score_of_area(area_pct: float) -> float:
    """Score at a share of the eye's area [%]: straight between the reference pictures, and on beyond the last."""
    shares = np.array([0.0, *(share for share, _ in REFERENCE_PICTURES)])
    scores = np.array([NO_MARBLING_SCORE, *(score for _, score in REFERENCE_PICTURES)])
    if area_pct <= shares[-1]:
        return float(np.interp(area_pct, shares, scores))
    slope = (scores[-1] - scores[-2]) / (shares[-1] - shares[-2])
    return float(min(1000.0, scores[-1] + slope * (area_pct - shares[-1])))
