"""How sharp the picture is, from the black-white edges of the card's markers."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

REACH_SHARE = 0.115
"""How far each side of a marker's edge the profile is taken, as a share of its side (its border is 1/6)."""

STEPS = 61

LEAST_CONTRAST = 8.0
"""White less black, in light of 255; a flatter profile is not read."""


def edge_width_mm(bgr: NDArray[np.uint8], quads: list[NDArray[np.float64]], *, side_mm: float) -> float:
    """Width of the markers' outer edges, 10 to 90 % [mm]; the softer of the two directions.

    `quads` are corners (4, 2) in px, clockwise. Each side gives one profile, the mean over its middle; a
    profile without contrast is left out. No usable profile: infinity.
    """
    directions: tuple[list[float], list[float]] = ([], [])
    for quad in quads:
        for side in range(4):
            width = _profile_width(bgr, quad, side)
            if width is not None:
                directions[side % 2].append(width * side_mm)
    medians = [float(np.median(widths)) for widths in directions if widths]
    return max(medians) if medians else float("inf")


def _profile_width(bgr: NDArray[np.uint8], quad: NDArray[np.float64], side: int) -> float | None:
    """Width of one edge as a share of the marker's side."""
    start, end = quad[side], quad[(side + 1) % 4]
    inward = (quad[(side + 3) % 4] + quad[(side + 2) % 4] - start - end) / 2
    along = np.linspace(0.2, 0.8, 40)[:, None, None]
    across = np.linspace(-REACH_SHARE, REACH_SHARE, STEPS)[None, :, None]
    at = (start + (end - start) * along + inward * across).astype(np.float32)
    low = np.floor(at.min(axis=(0, 1))).astype(int) - 2
    high = np.ceil(at.max(axis=(0, 1))).astype(int) + 3
    if low.min() < 0 or high[0] > bgr.shape[1] or high[1] > bgr.shape[0]:
        return None
    grey = cv2.cvtColor(bgr[low[1] : high[1], low[0] : high[0]], cv2.COLOR_BGR2GRAY)
    at -= low.astype(np.float32)
    seen = cv2.remap(grey, at[..., 0], at[..., 1], cv2.INTER_LINEAR)
    profile = 255 * (np.median(seen, axis=0).astype(float) / 255) ** 2.2
    white, black = float(profile[:8].mean()), float(profile[-8:].mean())
    if white - black < LEAST_CONTRAST:
        return None
    level = np.minimum.accumulate((profile - black) / (white - black))
    steps = np.interp([-0.9, -0.1], -level, np.arange(STEPS, dtype=float))
    return float((steps[1] - steps[0]) * 2 * REACH_SHARE / (STEPS - 1))
