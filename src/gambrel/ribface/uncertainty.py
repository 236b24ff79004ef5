"""How wide each interval is: a table of terms, each growing with tilt, blur, glare and what was missing."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from gambrel.measures.estimate import Z90

Interval = tuple[float, float]


@dataclass(frozen=True)
class Conditions:
    """What bears on how sure a reading is.

    `chine_gap_mm`: how far apart the fat lies at the two ends, where it is not sure which of them is the chine.
    `doubt_px`: how wide the rim is, in pixels of the finder's map, in which it does not tell eye from what lies beside.
    """

    tilt_deg: float = 0.0
    blur_mm: float = 0.0
    residual_mm: float = 0.0
    missing_markers: int = 0
    by_hand: bool = False
    balanced: bool = True
    glare_pct: float = 0.0
    confidence: float = 1.0
    chine_gap_mm: float = 0.0
    own_fat: bool = False
    side_sure: float = 1.0
    doubt_px: float = 0.0


@cache
def table() -> Mapping[str, Mapping[str, float]]:
    """The terms by figure, from the packaged data."""
    text = resources.files("gambrel.ribface").joinpath("data/uncertainty.toml").read_text("utf-8")
    return {name: part for name, part in tomllib.loads(text).items() if isinstance(part, dict)}


def area_interval(ribeye_cm2: float, seen: Conditions) -> Interval:
    t = table()["area"]
    spread = _root(
        t["base_share"],
        t["per_tilt_deg_share"] * seen.tilt_deg,
        t["per_blur_mm_share"] * seen.blur_mm,
        t["per_missing_marker_share"] * seen.missing_markers,
        t["per_residual_mm_share"] * seen.residual_mm,
        t["by_hand_share"] * seen.by_hand,
        t["unsure_outline_share"] * (1 - seen.confidence),
        t["per_doubt_share"] * seen.doubt_px,
    )
    return _around(ribeye_cm2, spread * ribeye_cm2)


def fat_interval(fat_mm: float, seen: Conditions, *, spread_mm: float) -> Interval:
    t = table()["fat"]
    spread = _root(
        t["base_mm"],
        t["share"] * fat_mm,
        t["per_tilt_deg_mm"] * seen.tilt_deg,
        t["per_blur_mm_mm"] * seen.blur_mm,
        t["per_spread"] * spread_mm,
        t["by_hand_share"] * seen.by_hand * fat_mm,
        t["unsure_outline_mm"] * (1 - seen.confidence),
        t["per_chine_gap"] * seen.chine_gap_mm,
        t["unsure_side_mm"] * (1 - seen.side_sure),
    )
    return _around(fat_mm, spread)


def marbling_interval(marbling_pct: float, seen: Conditions, *, spread_pct: float) -> Interval:
    t = table()["marbling"]
    spread = _root(
        t["base_pct"],
        t["share"] * marbling_pct,
        t["per_blur_mm_pct"] * seen.blur_mm,
        t["per_glare_pct"] * seen.glare_pct,
        t["per_spread"] * spread_pct,
        t["own_fat_share"] * seen.own_fat * marbling_pct,
        t["no_card_share"] * (not seen.balanced) * marbling_pct,
        t["unsure_outline_pct"] * (1 - seen.confidence),
    )
    low, high = _around(marbling_pct, spread)
    return low, min(100.0, high)


def _root(*terms: float) -> float:
    return math.sqrt(sum(term * term for term in terms))


def _around(value: float, spread: float) -> Interval:
    return max(0.0, value - Z90 * spread), value + Z90 * spread
