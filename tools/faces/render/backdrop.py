"""What lies behind the face: steel, boards, cloth, paper, wood, the cooler with its hanging sides."""

from __future__ import annotations

import math

import cv2
import numpy as np

from . import noise
from .arrays import Colour, Gray, gray, points
from .colours import from_lab
from .draw import Draw

KINDS = (
    "steel",
    "board",
    "cooler",
    "cooler",
    "cloth",
    "paper",
    "black",
    "white",
    "wood",
    "wall",
    "floor",
    "tray",
)
BARE_KINDS = ("white", "white", "white", "black", "paper", "board", "wood", "slate", "steel", "tray")


def _tinted(shade: Gray, lab: tuple[float, float, float]) -> Colour:
    return gray(np.maximum(shade, 0.01)[..., None] * from_lab(lab))


def _cooler(draw: Draw, shape: tuple[int, int]) -> Colour:
    """Dark room, blurred hanging sides, perhaps a rail."""
    height, width = shape
    room = _tinted(np.ones(shape, np.float32), (draw.between(3, 30), 0, draw.between(-2, 4)))
    x = np.linspace(0, 1, width, dtype=np.float32)
    for _ in range(draw.whole(2, 9)):
        middle, half = draw.between(-0.1, 1.1), draw.between(0.03, 0.16)
        lean = noise.field(
            draw, shape, height / draw.between(3, 9), stretch=2.5, angle_rad=math.pi / 2
        ) > draw.between(-0.4, 0.5)
        wave = 0.02 * noise.field(draw, (height, 1), height / 3)
        side = np.clip(1 - ((x[None] - middle - wave) / half) ** 2, 0, 1)
        red = from_lab((draw.between(18, 38), draw.between(8, 26), draw.between(4, 16)))
        pale = from_lab((draw.between(50, 80), draw.between(2, 10), draw.between(6, 26)))
        meat = np.where(lean[..., None], red, pale) * np.sqrt(side)[..., None]
        alpha = gray(side > 0.02)[..., None]
        room += alpha * (gray(meat) * np.float32(draw.between(0.25, 0.9)) - room)
    if draw.chance(0.5):
        y = draw.between(0.02, 0.3)
        bar = np.exp(-0.5 * ((np.linspace(0, 1, height) - y) / draw.between(0.006, 0.02)) ** 2)
        room += gray(bar)[:, None, None] * np.float32(draw.between(0.05, 0.5))
    sigma = draw.between(1, 9) * width / 448
    return gray(cv2.GaussianBlur(room, (0, 0), sigma))


def _steel(draw: Draw, shape: tuple[int, int]) -> Colour:
    scale = shape[1] / 448
    brushed = noise.fractal(
        draw,
        shape,
        draw.between(1, 3) * scale,
        stretch=60,
        angle_rad=draw.pick([0.0, math.pi / 2, draw.between(0, 3)]),
    )
    sheen = noise.fractal(draw, shape, draw.between(60, 200) * scale, octaves=2)
    shade = 1 + draw.between(0.02, 0.14) * brushed + draw.between(0.1, 0.5) * sheen
    return _tinted(gray(shade), (draw.between(35, 82), draw.between(-2, 1), draw.between(-4, 3)))


def _board(draw: Draw, shape: tuple[int, int]) -> Colour:
    """A cutting board with knife marks and stains."""
    scale = shape[1] / 448
    shade = gray(1 + 0.05 * noise.fractal(draw, shape, 60 * scale))
    marks = np.zeros(shape, np.uint8)
    for _ in range(draw.whole(0, 60)):
        at = points([draw.between(0, shape[1]), draw.between(0, shape[0])])
        to = at + draw.rng.normal(0, 45 * scale, 2)
        cv2.line(
            marks,
            at.astype(int).tolist(),
            to.astype(int).tolist(),
            draw.whole(40, 255),
            max(1, round(scale * 0.6)),
            cv2.LINE_AA,
        )
    shade *= 1 - gray(marks) / 255 * np.float32(draw.between(0.05, 0.35))
    lab = draw.pick(
        [(88, -1, 4), (80, 0, 6), (70, -14, 10), (55, -4, -28), (72, 4, 28), (60, 30, 16), (86, -2, 16)]
    )
    return _tinted(shade, (lab[0] + draw.between(-8, 6), lab[1], lab[2]))


def _wood(draw: Draw, shape: tuple[int, int]) -> Colour:
    scale = shape[1] / 448
    angle = draw.pick([0.0, math.pi / 2, draw.between(0, 3)])
    rings = noise.fractal(
        draw, shape, draw.between(3, 10) * scale, stretch=draw.between(12, 30), angle_rad=angle, octaves=4
    )
    shade = gray(1 + draw.between(0.1, 0.4) * np.sin(rings * draw.between(2, 7)) * 0.5)
    return _tinted(shade, (draw.between(22, 70), draw.between(4, 18), draw.between(12, 34)))


def _weave(draw: Draw, shape: tuple[int, int]) -> Colour:
    """Cloth: folds and a fine weave."""
    scale = shape[1] / 448
    folds = noise.fractal(
        draw, shape, draw.between(20, 90) * scale, stretch=draw.between(1, 5), angle_rad=draw.between(0, 3)
    )
    fine = noise.field(draw, shape, 1.5 * scale)
    lab = draw.pick([(90, 0, 2), (84, 1, 8), (45, 2, -25), (35, 20, 8), (60, -20, 10), (25, 0, 0)])
    return _tinted(gray(1 + 0.16 * folds + 0.05 * fine), (lab[0] + draw.between(-8, 5), lab[1], lab[2]))


def _panels(draw: Draw, shape: tuple[int, int]) -> Colour:
    """A wall or a floor: mottled, with joints."""
    scale = shape[1] / 448
    shade = gray(
        1 + draw.between(0.03, 0.25) * noise.fractal(draw, shape, draw.log_between(4, 80) * scale, octaves=4)
    )
    gap = draw.between(60, 240) * scale
    for axis in (0, 1) if draw.chance(0.4) else (1,):
        n = shape[axis]
        at = (np.arange(n) + draw.between(0, gap)) % gap
        line = 1 - draw.between(0.05, 0.5) * np.exp(-0.5 * ((at - gap / 2) / (1.2 * scale)) ** 2)
        shade *= gray(line)[:, None] if axis == 0 else gray(line)[None]
    return _tinted(shade, (draw.between(12, 85), draw.between(-4, 6), draw.between(-6, 10)))


def _plain(draw: Draw, shape: tuple[int, int], kind: str) -> Colour:
    shade = gray(
        1 + draw.between(0, 0.08) * noise.fractal(draw, shape, draw.log_between(3, 120) * shape[1] / 448)
    )
    if kind == "white":
        lab = (draw.between(92, 100), 0.0, draw.between(-1, 2))
        shade = np.ones(shape, np.float32) if draw.chance(0.5) else shade
    elif kind == "black":
        lab = (draw.between(1, 14), draw.between(-1, 2), draw.between(-2, 2))
    elif kind == "slate":
        lab = (draw.between(14, 40), draw.between(-2, 2), draw.between(-5, 3))
    elif kind == "tray":
        lab = draw.pick([(85, 0, 2), (20, 0, 0), (45, 30, -20), (50, 50, 30), (60, -30, 20)])
    else:
        lab = (draw.between(70, 94), draw.between(-1, 6), draw.between(2, 24))
    return _tinted(shade, lab)


def paint_backdrop(draw: Draw, shape: tuple[int, int], kind: str) -> Colour:
    """A background (h, w, 3) in linear light; painted at no more than 900 px wide and then enlarged."""
    scale = min(1.0, 900 / max(shape))
    small = max(8, round(shape[0] * scale)), max(8, round(shape[1] * scale))
    painters = {"cooler": _cooler, "steel": _steel, "board": _board, "wood": _wood, "cloth": _weave,
                "wall": _panels, "floor": _panels}  # fmt: skip
    picture = painters[kind](draw, small) if kind in painters else _plain(draw, small, kind)
    if draw.chance(0.25):  # stains
        stain = np.clip(
            noise.fractal(draw, small, small[1] / draw.between(3, 14)) - draw.between(0.4, 1.1), 0, 1
        )
        picture *= 1 - gray(stain)[..., None] * gray([0.3, 0.75, 0.75]) * np.float32(draw.between(0.2, 1.2))
    if small != shape:
        picture = gray(cv2.resize(picture, (shape[1], shape[0]), interpolation=cv2.INTER_LINEAR))
    return picture
