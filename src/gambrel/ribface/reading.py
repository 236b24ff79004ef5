"""What a photograph of the rib face gave."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from gambrel.ribface.colour import Lab
from gambrel.ribface.geometry import Points
from gambrel.ribface.uncertainty import Conditions, Interval

OFFICIAL = False
"""Every figure is the shop's own estimate."""


@dataclass(frozen=True)
class Grounds:
    """What the intervals were made from."""

    conditions: Conditions
    fat_spread_mm: float
    marbling_spread_pct: float


@dataclass(frozen=True)
class Reading:
    """Figures of one rib face. Sizes are None where no scale was known; intervals hold nine times in ten.

    Points are in px of the upright picture given; `times_s` is filled in only by a caller who passes a clock.
    """

    ribeye_cm2: float | None
    ribeye_cm2_interval: Interval | None
    fat_mm: float | None
    fat_mm_interval: Interval | None
    marbling_pct: float
    marbling_pct_interval: Interval
    length_cm: float | None
    width_cm: float | None
    lean_lab: Lab | None
    fat_lab: Lab | None
    marbling_score: float
    marbling_score_interval: Interval
    lean_fat_pct: float | None
    lean_fat_pct_interval: Interval | None
    outline_px: Points
    axis_px: Points
    fat_line_px: Points | None
    mm_per_px: float | None
    card_corners_px: Points | None
    outline_by: str
    warnings: tuple[str, ...] = ()
    grounds: Grounds | None = None
    times_s: Mapping[str, float] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        """The figures under their public names, rounded to what they are worth."""
        return {
            "ribeye_cm2": _rounded(self.ribeye_cm2, 2),
            "ribeye_cm2_interval": _pair(self.ribeye_cm2_interval, 2),
            "fat_mm": _rounded(self.fat_mm, 2),
            "fat_mm_interval": _pair(self.fat_mm_interval, 2),
            "marbling_pct": _rounded(self.marbling_pct, 2),
            "marbling_pct_interval": _pair(self.marbling_pct_interval, 2),
            "length_cm": _rounded(self.length_cm, 2),
            "width_cm": _rounded(self.width_cm, 2),
            "lean_lab": None if self.lean_lab is None else [round(v, 2) for v in self.lean_lab],
            "fat_lab": None if self.fat_lab is None else [round(v, 2) for v in self.fat_lab],
            "marbling_score": round(self.marbling_score),
            "marbling_score_interval": _pair(self.marbling_score_interval, 0),
            "lean_fat_pct": _rounded(self.lean_fat_pct, 1),
            "lean_fat_pct_interval": _pair(self.lean_fat_pct_interval, 1),
            "outline_px": self.outline_px.round(1).tolist(),
            "fat_line_px": None if self.fat_line_px is None else self.fat_line_px.round(1).tolist(),
            "mm_per_px": _rounded(self.mm_per_px, 5),
            "official": OFFICIAL,
            "warnings": list(self.warnings),
        }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _pair(values: Interval | None, digits: int) -> list[float] | None:
    return None if values is None else [round(v, digits) for v in values]
