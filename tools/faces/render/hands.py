"""Gloved and bare hands, with an arm, as they come into the picture."""

from __future__ import annotations

import math

import cv2
import numpy as np

from . import noise, shapes
from .arrays import HAND, Colour, Points, gray, points
from .camera import window_of
from .canvas import Canvas
from .colours import from_lab
from .draw import Draw

_GLOVES = (
    (38, 2, -42),
    (45, -5, -38),
    (12, 0, 0),
    (90, 0, 2),
    (72, 0, 6),
    (60, -30, 25),
    (50, 60, -8),
    (80, 2, 30),
)
_SKIN = ((72, 12, 17), (60, 14, 20), (48, 15, 20), (36, 13, 16), (80, 8, 12))


def hand_shapes(draw: Draw, tip: Points, heading_rad: float, width_px: float) -> list[Points]:
    """Outlines in px of fingers, palm and arm; fingertips about `tip`, the arm going the other way."""
    w = width_px  # of the palm, about 90 mm
    fingers = draw.whole(1, 4)
    spread = draw.between(0.02, 0.12)
    parts: list[Points] = []

    def bar(start: Points, end: Points, first: float, last: float) -> None:
        t = np.linspace(0, 1, 24)
        spine = start + (end - start) * t[:, None]
        side = points([-(end - start)[1], (end - start)[0]]) / max(float(np.hypot(*(end - start))), 1e-6)
        spine = spine + side * (draw.bell(0, 0.05, -0.1, 0.1) * w * np.sin(np.pi * t))[:, None]
        half = (first + (last - first) * t) * (1 + 0.06 * shapes.waves(draw, 24, 1, 4, 1.0))
        half *= np.sqrt(np.clip(t / 0.12, 0.05, 1))
        parts.append(shapes.ribbon(spine, points(half)))

    back = points([-math.cos(heading_rad), -math.sin(heading_rad)])
    side = points([-back[1], back[0]])
    palm = tip + back * w * draw.between(0.95, 1.2)
    for k in range(fingers):
        off = (k - (fingers - 1) / 2) * 0.235 * w
        start = tip + side * (off * (1 + spread)) + back * w * draw.between(0, 0.16)
        bar(start, palm + side * off * 0.9, 0.085 * w, 0.12 * w)
    if draw.chance(0.6):
        flank = draw.sign()
        bar(
            tip + side * flank * w * draw.between(0.4, 0.75) + back * w * 0.55,
            palm + side * flank * 0.2 * w,
            0.1 * w,
            0.16 * w,
        )
    parts.append(shapes.blob(draw, palm + back * 0.25 * w, 0.47 * w, ratio=1.1, rough=0.05))
    bend = draw.bell(0, 0.3, -0.6, 0.6)
    arm = points(
        [
            math.cos(bend) * back[0] - math.sin(bend) * back[1],
            math.sin(bend) * back[0] + math.cos(bend) * back[1],
        ]
    )
    bar(palm + back * 0.3 * w, palm + arm * w * 8, 0.34 * w, draw.between(0.4, 0.65) * w)
    return parts


def paint_hand(draw: Draw, canvas: Canvas, tip: Points, heading_rad: float, width_px: float) -> None:
    """Paint a hand whose fingertips reach `tip` (px), lit as a rounded thing."""
    lab = draw.pick(_GLOVES) if draw.chance(0.7) else draw.pick(_SKIN)
    colour = from_lab((lab[0] + draw.between(-5, 5), lab[1], lab[2]))
    sleeve = (
        from_lab((draw.between(15, 95), draw.between(-3, 3), draw.between(-8, 6)))
        if draw.chance(0.5)
        else colour
    )
    shine, bloody = draw.between(0, 0.5), draw.chance(0.3)
    for k, part in enumerate(parts := hand_shapes(draw, tip, heading_rad, width_px)):
        height, width = canvas.shape
        window = window_of(part, width, height)
        if window is None:
            continue
        covered = canvas.cover_px(part)
        if covered is None:
            continue
        window, alpha = covered
        tone = sleeve if k == len(parts) - 1 else colour
        shaded = _rounded(draw, alpha, tone, shine)
        if bloody:
            film = np.clip(noise.field(draw, (alpha.shape[0], alpha.shape[1]), width_px / 5) - 0.3, 0, 1)[
                ..., None
            ]
            shaded += film * (gray([0.2, 0.02, 0.02]) - shaded)
        canvas.lay(window, alpha, shaded, HAND)
        x0, y0, x1, y1 = window
        canvas.gloss[y0:y1, x0:x1] *= 1 - alpha


def _rounded(draw: Draw, alpha: Colour, tone: Colour, shine: float) -> Colour:
    """Shade a flat shape as if it bulged: by its distance from the edge."""
    height, width = alpha.shape[:2]
    scale = min(1.0, 300 / max(height, width))
    small = cv2.resize(
        alpha, (max(4, round(width * scale)), max(4, round(height * scale))), interpolation=cv2.INTER_AREA
    )
    away = cv2.distanceTransform((small > 0.5).astype(np.uint8), cv2.DIST_L2, 3)
    bulge = cv2.GaussianBlur(np.sqrt(away / max(float(away.max()), 1)), (0, 0), 1.5)
    slope = cv2.Sobel(bulge, cv2.CV_32F, 1, 0, ksize=3), cv2.Sobel(bulge, cv2.CV_32F, 0, 1, ksize=3)
    angle = draw.between(0, 2 * math.pi)
    lit = 0.62 + 0.38 * bulge + 0.8 * (math.cos(angle) * slope[0] + math.sin(angle) * slope[1])
    wrinkle = 0.08 * noise.field(draw, (small.shape[0], small.shape[1]), 5)
    lit = np.clip(lit + wrinkle, 0.15, 1.5)
    spot = shine * np.clip(lit - 1.05, 0, 1)
    full = cv2.resize(lit, (width, height)), cv2.resize(spot, (width, height))
    return gray(full[0][..., None] * tone + full[1][..., None])
