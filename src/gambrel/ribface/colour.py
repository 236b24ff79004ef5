"""Colour of the lean and of the fat, CIE Lab of D65."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.geometry import Points

Lab = tuple[float, float, float]

SHEEN_PCT = (5.0, 45.0)
"""Between these places of lightness the lean is taken: wet sheen lifts the rest."""


def lean_colour(seen: NDArray[np.float32]) -> Lab | None:
    """Median Lab of places (n, 3) in the lean, the part lifted by sheen left out; None where too little."""
    if len(seen) < 50:
        return None
    low, high = np.percentile(seen[:, 0], SHEEN_PCT)
    return _triple(np.median(seen[(seen[:, 0] >= low) & (seen[:, 0] <= high)], axis=0))


def fat_colour(seen: NDArray[np.float32]) -> Lab | None:
    """Median Lab of places (n, 3) in the cover fat, its darkest and brightest fifths left out."""
    seen = seen[np.isfinite(seen[:, 0])]
    if len(seen) < 20:
        return None
    low, high = np.percentile(seen[:, 0], (20, 80))
    return _triple(np.median(seen[(seen[:, 0] >= low) & (seen[:, 0] <= high)], axis=0))


def inside_cover(edge_mm: Points, surface_mm: Points) -> Points:
    """Places (n, 2) [mm] half-way and thereabouts between eye and surface, given as matching lines (k, 2)."""
    return np.concatenate([edge_mm + (surface_mm - edge_mm) * part for part in (0.35, 0.5, 0.65)])


def _triple(values: NDArray[np.float32]) -> Lab:
    first, second, third = (float(v) for v in values)
    return first, second, third
