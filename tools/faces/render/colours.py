"""Colours: CIE Lab (D65) to linear light and back, and the colours of the four kinds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .arrays import Colour, Points, gray, points
from .draw import Draw

# IEC 61966-2-1 (sRGB): linear light to XYZ under D65, whose white is its row sums
_TO_XYZ = points([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
_WHITE = _TO_XYZ.sum(axis=1)
_TO_RGB = np.linalg.inv(_TO_XYZ)
_BEND = 6 / 29


def to_lab(linear: Points) -> Points:
    """Linear light (..., 3) to CIE Lab under D65 (CIE 15:2004)."""
    ratio = points(linear) @ _TO_XYZ.T / _WHITE
    f = np.where(ratio > _BEND**3, np.cbrt(ratio), ratio / (3 * _BEND**2) + 4 / 29)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1
    )


def from_lab(lab: tuple[float, float, float] | Points) -> Colour:
    """CIE Lab (3,) to linear light (3,), kept inside 0.001 to 1."""
    lightness, a, b = (float(v) for v in lab)
    fy = (lightness + 16) / 116
    f = points([fy + a / 500, fy, fy - b / 200])
    xyz = np.where(f > _BEND, f**3, 3 * _BEND**2 * (f - 4 / 29)) * _WHITE
    return gray(np.clip(_TO_RGB @ xyz, 0.001, 1.0))


def to_srgb_curve(linear: Colour) -> Colour:
    """Linear light to sRGB code values, both 0 to 1."""
    low = linear <= 0.0031308
    return gray(np.where(low, 12.92 * linear, 1.055 * np.maximum(linear, 0.0031308) ** (1 / 2.4) - 0.055))


def from_srgb(value: float) -> float:
    """An sRGB code value of 0 to 255 as linear light."""
    v = value / 255
    return v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4


@dataclass(frozen=True)
class Look:
    """Colours of one carcass: pairs of ends (linear light) between which its surface varies."""

    kind: str
    lean_lab: tuple[float, float, float]
    fat_lab: tuple[float, float, float]
    lean: tuple[Colour, Colour]
    fat: tuple[Colour, Colour]
    bone: tuple[Colour, Colour]
    cartilage: Colour
    marbling_share: float
    dark_cutter: bool


# typical surface colours by kind: (mean, spread) of L*, a*, b*; and marbling share. Our own wide guesses.
_LEAN = {
    "bison": ((28, 4), (15, 4), (8, 3)),
    "grass": ((31, 4), (18, 4.5), (10, 3)),
    "grain": ((37, 4), (24, 4.5), (13, 3)),
    "wagyu": ((41, 4), (25, 4.5), (13, 3)),
}
_FAT = {
    "bison": ((76, 4), (5, 3), (16, 5)),
    "grass": ((75, 5), (6, 3), (24, 6)),
    "grain": ((79, 5), (4.5, 3), (12, 5)),
    "wagyu": ((80, 5), (4.5, 3), (9, 4)),
}
_MARBLING = {"bison": (0.003, 0.035), "grass": (0.006, 0.06), "grain": (0.015, 0.14), "wagyu": (0.09, 0.45)}
KINDS = tuple(_LEAN)


def _near(draw: Draw, row: tuple[tuple[float, float], ...], spread: float) -> tuple[float, float, float]:
    values = [draw.rng.normal(mean, each * spread) for mean, each in row]
    return float(values[0]), float(values[1]), float(values[2])


def _ends(
    draw: Draw, lab: tuple[float, float, float], by: tuple[float, float, float]
) -> tuple[Colour, Colour]:
    step = [draw.between(0.4, 1) * v for v in by]
    low = from_lab((lab[0] - step[0], lab[1] - step[1], lab[2] - step[2]))
    high = from_lab((lab[0] + step[0], lab[1] + step[1], lab[2] + step[2]))
    return low, high


def draw_look(draw: Draw, *, kind: str, spread: float, bare: bool = False) -> Look:
    """Colours and marbling of one carcass; `spread` above 1 goes beyond what the kind usually shows.

    A bare cut, as it lies in a shop, is more often bright red than a face in the cooler.
    """
    lean = _near(draw, _LEAN[kind], spread)
    dark = draw.chance(0.06 * spread)
    if dark:
        lean = (lean[0] - 8, lean[1] * 0.55, lean[2] * 0.5)
    elif draw.chance(0.5 if bare else 0.2 * spread):  # bloomed bright red, as in shop and print pictures
        lean = (lean[0] + draw.between(0, 8), lean[1] + draw.between(8, 26), lean[2] + draw.between(4, 18))
    elif draw.chance(0.08 * spread):  # brown, long in the air
        lean = (lean[0] + draw.between(-2, 8), lean[1] * draw.between(0.5, 0.8), lean[2] + draw.between(0, 4))
    lean = (float(np.clip(lean[0], 16, 60)), float(np.clip(lean[1], 5, 56)), float(np.clip(lean[2], 1, 42)))
    fat = _near(draw, _FAT[kind], spread)
    fat = (
        float(np.clip(fat[0], max(58, lean[0] + 17), 94)),
        float(np.clip(fat[1], -3, 16)),
        float(np.clip(fat[2], -1, 42)),
    )
    bone = (draw.between(42, 72), draw.between(10, 30), draw.between(9, 22))
    low, high = _MARBLING[kind]
    return Look(
        kind=kind,
        lean_lab=lean,
        fat_lab=fat,
        lean=_ends(draw, lean, (4.5 * spread, -3, -2)),
        fat=_ends(draw, fat, (5, -3.5, -4)),
        bone=_ends(draw, bone, (12, -12, -4)),
        cartilage=from_lab((draw.between(66, 88), draw.between(0, 10), draw.between(7, 20))),
        marbling_share=draw.log_between(low / spread, min(0.47, high * spread)),
        dark_cutter=dark,
    )
