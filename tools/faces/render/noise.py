"""Smooth random fields: the grain of meat, the blotches of fat, the scratches of a board."""

from __future__ import annotations

import math

import cv2

from .arrays import Gray, gray
from .draw import Draw


def field(
    draw: Draw, shape: tuple[int, int], cell_px: float, *, stretch: float = 1.0, angle_rad: float = 0.0
) -> Gray:
    """Value noise (h, w), mean about 0 and spread about 0.6; `stretch` lengthens the cells along the angle."""
    height, width = shape
    cell_px = max(cell_px, 1.0)
    coarse = int(min(8, max(1, cell_px // 6)))
    if coarse > 1 and height * width > 90_000:
        small = field(
            draw,
            (height // coarse + 2, width // coarse + 2),
            cell_px / coarse,
            stretch=stretch,
            angle_rad=angle_rad,
        )
        return gray(cv2.resize(small, (width, height), interpolation=cv2.INTER_LINEAR))
    along, across = cell_px * stretch, cell_px
    reach = math.hypot(height, width)
    columns, rows = int(reach / along) + 6, int(reach / across) + 6
    grid = draw.rng.standard_normal((rows, columns), dtype="f4")
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    cx, cy = width / 2, height / 2
    turn = gray(
        [
            [c / along, s / along, columns / 2 - (c * cx + s * cy) / along],
            [-s / across, c / across, rows / 2 + (s * cx - c * cy) / across],
        ]
    )
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    return gray(cv2.warpAffine(grid, turn, (width, height), flags=flags, borderMode=cv2.BORDER_REFLECT_101))


def fractal(
    draw: Draw,
    shape: tuple[int, int],
    cell_px: float,
    *,
    octaves: int = 3,
    gain: float = 0.55,
    stretch: float = 1.0,
    angle_rad: float = 0.0,
) -> Gray:
    """Noise upon finer noise (h, w), mean about 0, spread about 0.6."""
    total = field(draw, shape, cell_px, stretch=stretch, angle_rad=angle_rad)
    weight, norm = 1.0, 1.0
    for _ in range(octaves - 1):
        cell_px *= 0.5
        weight *= gain
        if cell_px < 1:
            break
        total += weight * field(draw, shape, cell_px, stretch=stretch, angle_rad=angle_rad)
        norm += weight * weight
    total /= math.sqrt(norm)
    return total
