"""Lamps, shadows and fall-off: what the light does to the painted scene."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from .arrays import Colour, Gray, gray
from .canvas import Canvas
from .draw import Draw

LAMPS: dict[str, tuple[float, float, float]] = {
    "daylight": (1.0, 1.0, 1.0),
    "led_white": (1.0, 1.0, 0.94),
    "led_warm": (1.2, 1.0, 0.7),
    "led_cool": (0.9, 1.0, 1.16),
    "tungsten": (1.45, 1.0, 0.5),
    "fluorescent": (0.95, 1.06, 0.88),
    "green_tint": (0.9, 1.1, 0.95),
    "pink_tint": (1.15, 0.92, 1.0),
}


@dataclass(frozen=True)
class Lighting:
    """The light over the picture: (h, w, 3) factors about 1, and what to record of it."""

    over: Colour
    lamp: Colour  # (3,) colour of the mean light
    names: tuple[str, ...]
    shadow: float
    flash: float


def draw_lighting(draw: Draw, shape: tuple[int, int], *, spread: float) -> Lighting:
    """One to three lamps from different sides, vignetting, perhaps a shadow edge and a flash."""
    height, width = shape
    rows, columns = 36, max(8, round(36 * width / height))
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float32)
    x, y = (x / columns - 0.5) * width / height, y / rows - 0.5
    names = [draw.pick(list(LAMPS)[: 6 if spread <= 1 else 8]) for _ in range(draw.whole(1, 3))]
    if draw.chance(0.5):
        names = names[:1]
    over = np.zeros((rows, columns, 3), np.float32)
    for name in names:
        tint = gray(LAMPS[name]) * gray(np.exp(draw.rng.normal(0, 0.03 * spread, 3)))
        away = (x - draw.between(-0.9, 0.9)) ** 2 + (y - draw.between(-0.8, 0.8)) ** 2
        fall = 1 / (1 + away * draw.between(0.05, 0.9) * spread)
        over += fall[..., None] * tint * np.float32(draw.between(0.4, 1))
    flash = draw.between(0.2, 1.2) if draw.chance(0.15 * spread) else 0.0
    if flash:
        over += (
            flash * np.exp(-((x - draw.between(-0.2, 0.2)) ** 2 + (y - draw.between(-0.2, 0.2)) ** 2) * 4)
        )[..., None]
    over *= (1 - draw.between(0, 0.35) * spread * np.clip(x * x + y * y, 0, 1))[..., None]
    shadow = draw.between(0.15, 0.55) if draw.chance(0.25 * spread) else 0.0
    if shadow:
        over *= _shadow_edge(draw, x, y, shadow)[..., None]
    over /= float(over[..., 1].mean())
    lamp = gray(over.mean(axis=(0, 1)))
    full = gray(cv2.resize(over, (width, height), interpolation=cv2.INTER_LINEAR))
    return Lighting(full, lamp, tuple(names), shadow, flash)


def _shadow_edge(draw: Draw, x: Gray, y: Gray, dark: float) -> Gray:
    angle = draw.between(0, 2 * math.pi)
    across = (x - draw.between(-0.4, 0.4)) * math.cos(angle) + (y - draw.between(-0.3, 0.3)) * math.sin(angle)
    across = across + 0.1 * np.sin(draw.between(3, 9) * (x * math.sin(angle) - y * math.cos(angle)))
    return gray(1 - dark / (1 + np.exp(-across / draw.between(0.02, 0.15))))


def apply_light(canvas: Canvas, lighting: Lighting, *, glare: float) -> None:
    """Multiply the surface colours by the light and add the mirrored light of the lamps, in place.

    `glare` is how bright the lamps are beside what they light; what is mirrored may be many times white.
    """
    canvas.light *= lighting.over
    if glare > 0 and canvas.gloss.any():
        shine = np.clip(canvas.gloss, 0, 12) * np.float32(glare)
        for k in range(3):
            canvas.light[..., k] += shine * lighting.over[..., k]
