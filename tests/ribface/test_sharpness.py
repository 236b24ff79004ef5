"""Edges of known softness: their width against the normal distribution's."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest

from gambrel.ribface.sharpness import edge_width_mm

SIDE_MM = 16.0
TEN_TO_NINETY = NormalDist().inv_cdf(0.9) - NormalDist().inv_cdf(0.1)
"""Width of a normally blurred edge, 10 to 90 %, in standard deviations: 2.563 (any table of the normal curve)."""


def soft_step(x: np.ndarray, sigma: float) -> np.ndarray:
    return np.vectorize(lambda v: 0.5 * (1 + math.erf(v / (sigma * math.sqrt(2)))))(x)


def square(size: int, side: int, sigma_x: float, sigma_y: float, black: float = 10) -> np.ndarray:
    """A black square in the middle of white paper, blurred in linear light, as picture values."""
    at = np.arange(size) - (size - 1) / 2
    across = soft_step(at + side / 2, sigma_x) - soft_step(at - side / 2, sigma_x)
    down = soft_step(at + side / 2, sigma_y) - soft_step(at - side / 2, sigma_y)
    light = 255 - (255 - black) * down[:, None] * across[None, :]
    grey = np.round(255 * (light / 255) ** (1 / 2.2)).astype(np.uint8)
    return np.repeat(grey[:, :, None], 3, axis=2)


def corners(size: int, side: int, turn: int = 0) -> np.ndarray:
    low, high = (size - 1) / 2 - side / 2, (size - 1) / 2 + side / 2
    return np.roll(np.array([[low, low], [high, low], [high, high], [low, high]]), turn, axis=0)


@pytest.mark.parametrize("sigma_px", [2.0, 3.0, 4.0])
def test_width_of_a_normal_edge(sigma_px: float) -> None:
    bgr = square(300, 160, sigma_px, sigma_px)
    wanted_mm = TEN_TO_NINETY * sigma_px * SIDE_MM / 160
    assert edge_width_mm(bgr, [corners(300, 160)], side_mm=SIDE_MM) == pytest.approx(wanted_mm, rel=0.06)


@pytest.mark.parametrize("turn", range(4))
def test_the_softer_direction_counts_whichever_corner_comes_first(turn: int) -> None:
    """A shaken picture is soft in one direction alone."""
    bgr = square(300, 160, 1.5, 4.0)
    wanted_mm = TEN_TO_NINETY * 4.0 * SIDE_MM / 160
    assert edge_width_mm(bgr, [corners(300, 160, turn)], side_mm=SIDE_MM) == pytest.approx(
        wanted_mm, rel=0.06
    )


def test_a_square_without_contrast_says_nothing() -> None:
    bgr = square(300, 160, 2.0, 2.0, black=250)
    assert edge_width_mm(bgr, [corners(300, 160)], side_mm=SIDE_MM) == float("inf")


def test_edges_beyond_the_picture_are_left_out() -> None:
    bgr = square(300, 160, 2.0, 2.0)
    near = bgr[75:, 75:]  # 5 px of paper left above and to the left of the square
    shifted = corners(300, 160) - 75
    whole = edge_width_mm(bgr, [corners(300, 160)], side_mm=SIDE_MM)
    assert edge_width_mm(near, [shifted], side_mm=SIDE_MM) == pytest.approx(whole, rel=0.02)
    assert edge_width_mm(near, [shifted - 1000], side_mm=SIDE_MM) == float("inf")
    assert edge_width_mm(near, [], side_mm=SIDE_MM) == float("inf")


def test_of_several_markers_the_middle_counts() -> None:
    one, other = square(300, 160, 2.0, 2.0), square(300, 160, 4.0, 4.0)
    bgr = np.concatenate([one, one, other], axis=1)
    quads = [corners(300, 160) + np.array([300 * number, 0]) for number in range(3)]
    alone = edge_width_mm(one, [corners(300, 160)], side_mm=SIDE_MM)
    assert edge_width_mm(bgr, quads, side_mm=SIDE_MM) == pytest.approx(alone, rel=0.01)
