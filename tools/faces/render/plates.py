"""The stand of a fixed camera: steel plates that hide the face beyond the eye."""

from __future__ import annotations

import math

import numpy as np

from . import noise
from .anatomy import Face
from .arrays import BACKGROUND, Points, gray, points
from .canvas import Canvas
from .colours import from_lab
from .draw import Draw
from .truth import fat_line

SHARE = 0.06
"""Share of the hanging sides that are seen in a stand."""


def paint_plates(draw: Draw, canvas: Canvas, face: Face, second: Face | None) -> None:
    """One to three plates across the picture, clear of the eye and of the line of the cover fat; or none.

    None where a second animal is in the picture: the stand of a fixed camera holds one, and a plate could hide it.
    """
    if face.layout != "side" or second is not None or not draw.chance(SHARE):
        return
    line = fat_line(face)
    seen = canvas.camera.to_px(face.eye if line is None else np.vstack([face.eye, line]))
    middle = canvas.camera.to_px(face.eye).mean(axis=0)
    px = canvas.camera.px_per_mm(face.eye.mean(axis=0))
    first = draw.between(0, 2 * math.pi)
    for turn in draw.pick([[0.0], [0.0], [0.0, math.pi], [0.0, math.pi / 2], [0.0, math.pi / 2, math.pi]]):
        heading = first + turn + draw.bell(0, 0.1, -0.3, 0.3)
        way = points([math.cos(heading), math.sin(heading)])
        near = float(((seen - middle) @ way).max()) + draw.log_between(1.5, 60) * px
        _plate(draw, canvas, middle + way * near, way, deep_px=draw.log_between(10, 200) * px)


def _plate(draw: Draw, canvas: Canvas, edge_px: Points, way: Points, *, deep_px: float) -> None:
    """A plate whose long edge runs through a point, square to `way`."""
    height, width = canvas.shape
    along = points([-way[1], way[0]]) * 2.0 * math.hypot(width, height)
    steps = np.linspace(-1, 1, 24)[:, None]
    outline = np.vstack([edge_px + along * steps, edge_px + way * deep_px + along * steps[::-1]])
    covered = canvas.cover_px(np.clip(outline, -4.0 * max(width, height), 5.0 * max(width, height)))
    if covered is None:
        return
    window, alpha = covered
    shade = 1 + draw.between(0.02, 0.3) * noise.fractal(
        draw, (alpha.shape[0], alpha.shape[1]), draw.log_between(8, 120) * width / 896
    )
    steel = from_lab((draw.between(6, 78), draw.between(-2, 2), draw.between(-5, 5)))
    canvas.lay(window, alpha, gray(np.maximum(shade, 0.05)[..., None] * steel), BACKGROUND)
    x0, y0, x1, y1 = window
    canvas.gloss[y0:y1, x0:x1] *= 1 - alpha
