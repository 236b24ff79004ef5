"""How sharp the picture is, from the black-white edges of the card's markers."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

REACH_SHARE = 0.115
"""How far each side of a marker's edge the profile is taken, as a share of its side (its border is 1/6)."""

STEPS = 61
RUN_SHARE, RUNS = (0.2, 0.8), 40
"""The part of the edge looked at, and how many profiles along it: their middle value is taken."""

LEAST_CONTRAST = 8.0
"""White less black, in light of 255; a flatter profile is not read."""


def edge_width_mm(bgr: NDArray[np.uint8], quads: list[NDArray[np.float64]], *, side_mm: float) -> float:
    """Width of the markers' outer edges, 10 to 90 % [mm]; the softer of the two directions.

    `quads` are corners (4, 2) in px, clockwise. Each side gives one profile, the mean over its middle; a
    profile without contrast is left out. No usable profile: infinity.
    """
    directions: tuple[list[float], list[float]] = ([], [])
    for quad in quads:
        for side, profile in enumerate(_profiles(bgr, quad)):
            width = _width(profile)
            if width is not None:
                directions[side % 2].append(width * side_mm)
    medians = [float(np.median(widths)) for widths in directions if widths]
    return max(medians) if medians else float("inf")


def _profiles(bgr: NDArray[np.uint8], quad: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Light of 255 across each of the four edges (STEPS,), from outside inwards; nan where the picture ends."""
    inward = (np.roll(quad, 1, axis=0) + np.roll(quad, -2, axis=0) - quad - np.roll(quad, -1, axis=0)) / 2
    run = np.roll(quad, -1, axis=0) - quad
    reach = 2 * REACH_SHARE / (STEPS - 1) * inward  # one step across, in px
    step = (RUN_SHARE[1] - RUN_SHARE[0]) / (RUNS - 1) * run  # one step along
    first = quad + RUN_SHARE[0] * run - REACH_SHARE * inward
    far = np.stack([first, first + (STEPS - 1) * reach, first + (RUNS - 1) * step])
    far = np.concatenate([far, far[1:2] + far[2:] - far[:1]])
    low, high = np.floor(far.min(axis=0)) - 2, np.ceil(far.max(axis=0)) + 3
    inside = (low >= 0).all(axis=1) & (high <= bgr.shape[1::-1]).all(axis=1)
    if not inside.any():
        return [np.full(STEPS, np.nan)] * 4
    x, y = np.maximum(low.min(axis=0), 0).astype(int)
    x1, y1 = high.max(axis=0).astype(int)
    grey = cv2.cvtColor(bgr[y:y1, x:x1], cv2.COLOR_BGR2GRAY)
    flat = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    seen = np.empty((4, STEPS, RUNS), np.uint8)
    for number in range(4):
        place = np.column_stack([reach[number], step[number], first[number] - (x, y)])
        across = cv2.warpAffine(grey, place, (STEPS, RUNS), flags=flat, borderMode=cv2.BORDER_REPLICATE)
        seen[number] = across.T
    middle = np.partition(seen, (RUNS // 2 - 1, RUNS // 2), axis=2)
    share = middle[:, :, RUNS // 2 - 1 : RUNS // 2 + 1].mean(axis=2) / 255
    return list(np.where(inside[:, None], 255 * share**2.2, np.nan))


def _width(profile: NDArray[np.float64]) -> float | None:
    """Width of one edge as a share of the marker's side."""
    white, black = float(profile[:8].mean()), float(profile[-8:].mean())
    if not white - black >= LEAST_CONTRAST:
        return None
    level = np.minimum.accumulate((profile - black) / (white - black))
    steps = np.interp([-0.9, -0.1], -level, np.arange(STEPS, dtype=float))
    return float((steps[1] - steps[0]) * 2 * REACH_SHARE / (STEPS - 1))
