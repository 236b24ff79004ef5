"""Light made true: from picture values to linear light as the card's grey patches say, and on to Lab (D65).

Everything that mixes light (averages, shares of fat in a pixel) is worked in linear light.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface import refuse
from gambrel.ribface.plane import Card, Picture
from gambrel.ribface.refuse import Reason, Refusal

Floats = NDArray[np.float32]

PATCH_VALUES = (243, 200, 160, 122, 85, 52)
PATCH_LEFT_MM = (22.5, 32.5, 42.5, 52.5, 62.5, 72.5)
PATCH_TOP_MM, PATCH_SIDE_MM = 32.0, 10.0
PAPER_BANDS_MM = ((24.0, 25.0, 81.0, 30.0), (24.0, 44.0, 81.0, 56.0))
"""White paper above and below the patches: left, top, right, bottom."""

LEAST_PATCHES = 3
"""Fewest clean patches that give a curve."""

STRIP_PX_PER_MM = 4.0
STRIP_MM = (20.0, 23.0, 85.0, 58.0)

# sRGB primaries and D65 white. [IEC 61966-2-1:1999; CIE 15]
RGB_TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]], dtype=np.float64
)
WHITE_XYZ = (0.95047, 1.0, 1.08883)


@dataclass(frozen=True)
class Light:
    """How this picture's values stand for light. `table` (256, 3): B, G, R value to linear light, white 1."""

    table: Floats
    from_card: bool
    white: float
    fit_share: float
    warnings: tuple[str, ...] = ()

    def linear(self, bgr: Picture) -> Floats:
        """(H, W, 3) picture values to linear light, B, G, R, float32."""
        return np.asarray(cv2.LUT(bgr, self.table.reshape(256, 1, 3)), dtype=np.float32)

    def lab(self, linear_bgr: Floats) -> Floats:
        """A picture in linear light (H, W, 3) to CIE Lab of D65; light above white counts as white."""
        return np.asarray(cv2.cvtColor(linear_bgr, cv2.COLOR_LBGR2Lab), dtype=np.float32)


def srgb_to_linear(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """sRGB values 0 to 255 to linear light 0 to 1. [IEC 61966-2-1:1999]"""
    v = np.asarray(values, dtype=float) / 255.0
    return np.asarray(np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4))


def linear_to_lab(linear_bgr: NDArray[np.float32] | NDArray[np.float64]) -> Floats:
    """Linear sRGB light, order B, G, R, to CIE Lab of D65. [CIE 15, CIELAB]"""
    xyz = np.asarray(linear_bgr, dtype=float)[..., ::-1] @ RGB_TO_XYZ.T / np.array(WHITE_XYZ)
    bend = (6 / 29) ** 3
    f = np.where(xyz > bend, np.cbrt(np.maximum(xyz, 0)), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1).astype(np.float32)


def lab_to_linear(lab: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE Lab of D65 (3,) to linear sRGB light, order B, G, R. [CIE 15, CIELAB]"""
    lightness, a, b = (float(v) for v in lab)
    middle = (lightness + 16) / 116
    f = np.array([middle + a / 500, middle, middle - b / 200])
    xyz = np.where(f > 6 / 29, f**3, 3 * (6 / 29) ** 2 * (f - 4 / 29)) * WHITE_XYZ
    return np.asarray(np.linalg.solve(RGB_TO_XYZ, xyz)[::-1])


def light_from_card(bgr: Picture, card: Card) -> Light | Refusal:
    """Balance, exposure and tone curve from the grey patches, or why the light will not do."""
    strip, _ = card.plane.rectify(bgr, px_per_mm=STRIP_PX_PER_MM, window_mm=STRIP_MM)
    spots, values = _paper(strip)
    if len(values) < 20:
        return _grey_world(bgr, "the card's white is covered; colours are judged from the whole picture")
    white = float(np.percentile(values.mean(axis=1), 80))
    if white < refuse.WHITE_DARK_LIMIT:
        return Refusal(Reason.TOO_DARK, f"the card's white reads {white:.0f} of 255")
    whole = values.max(axis=1) < 254
    blown = 1 - float(np.mean(whole))
    # where the paper is at full value its fall-off is not seen; the darker patches still tell the light
    slope, uneven = (
        _slope(spots[whole], values[whole]) if np.count_nonzero(whole) >= 20 else (np.zeros(2), 0.0)
    )
    patches, known, clipped = _patches(strip, slope)
    if clipped > refuse.CLIPPED_PATCHES_LIMIT:
        return Refusal(Reason.BLOWN_OUT, f"{clipped} of the card's 6 grey patches are at full value")
    if len(known) < LEAST_PATCHES:
        return _grey_world(
            bgr, "the card's grey patches are covered; colours are judged from the whole picture"
        )
    table, fit = _fit_curve(patches, known)
    said = []
    if blown > refuse.BLOWN_WARNING_SHARE:
        said.append("the card's white is blown out; colours are less sure")
    if uneven > 0.25:
        said.append("the light falls off over the card; colours are less sure")
    if fit > 0.12:
        said.append("the grey patches do not fit one curve; wipe the card; colours are less sure")
    return Light(table=table, from_card=True, white=white, fit_share=fit, warnings=tuple(said))


def light_without_card(bgr: Picture) -> Light:
    """White taken from the brightest neutral parts; flagged, for the colour figures are then a guess."""
    return _grey_world(bgr, "no card: colours are judged from the picture itself and are a guess")


def _in_strip(box_mm: tuple[float, float, float, float]) -> tuple[slice, slice]:
    left, top = STRIP_MM[0], STRIP_MM[1]
    x0, y0, x1, y1 = ((v - o) * STRIP_PX_PER_MM for v, o in zip(box_mm, (left, top, left, top), strict=True))
    return slice(round(y0), round(y1)), slice(round(x0), round(x1))


def _paper(strip: Picture) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Places (n, 2) [mm] and values (n, 3) of clean white paper beside the patches, in 1 mm cells."""
    step = int(STRIP_PX_PER_MM)
    spots, values = [], []
    for box in PAPER_BANDS_MM:
        rows, columns = _in_strip(box)
        part = strip[rows, columns]
        high, wide = part.shape[0] // step, part.shape[1] // step
        cells = part[: high * step, : wide * step].reshape(high, step, wide, step, 3).swapaxes(1, 2)
        values.append(np.median(cells.reshape(high * wide, step * step, 3), axis=1))
        y, x = np.mgrid[0:high, 0:wide].reshape(2, -1)
        spots.append(np.column_stack([box[0] + x + 0.5, box[1] + y + 0.5]))
    all_spots, all_values = np.concatenate(spots), np.concatenate(values).astype(float)
    bright = all_values.min(axis=1)
    clean = bright > 0.8 * np.percentile(bright, 85)
    return all_spots[clean], all_values[clean]


def _slope(spots: NDArray[np.float64], values: NDArray[np.float64]) -> tuple[NDArray[np.float64], float]:
    """Plane of log light over the paper (constant left out), and how uneven it is across the card."""
    light = np.log(np.maximum(srgb_to_linear(values).mean(axis=1), 1e-4))
    around = np.column_stack([np.ones(len(spots)), spots - (52.5, 37.0)])
    weight = np.ones(len(spots))
    plane = np.zeros(3)
    for _ in range(8):
        scaled = around * weight[:, None]
        plane = np.linalg.lstsq(scaled, light * weight, rcond=None)[0]
        gap = light - around @ plane
        spread = 1.5 * float(np.median(np.abs(gap))) + 1e-4
        weight = np.sqrt(1.0 / (1.0 + (gap / (2 * spread)) ** 2))
    return plane[1:], float(abs(plane[1]) * 55 + abs(plane[2]) * 30)


def _patches(
    strip: Picture, slope: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], int]:
    """Linear light of the clean patches (n, 3), the card's fall-off taken out, what they stand for, and how many
    are at full value.
    """
    light, known, clipped = [], [], 0
    for value, left in zip(PATCH_VALUES, PATCH_LEFT_MM, strict=True):
        edge = PATCH_SIDE_MM - 2
        rows, columns = _in_strip((left + 2, PATCH_TOP_MM + 2, left + edge, PATCH_TOP_MM + edge))
        part = strip[rows, columns].reshape(-1, 3).astype(float)
        middle = np.median(part, axis=0)
        spread = float(np.median(np.abs(part.mean(axis=1) - middle.mean())))
        colour = srgb_to_linear(middle)
        clipped += bool(middle.max() >= 254)
        if spread > 14 or middle.max() >= 254:
            continue
        at = np.array([left + PATCH_SIDE_MM / 2 - 52.5, PATCH_TOP_MM + PATCH_SIDE_MM / 2 - 37.0])
        light.append(colour / np.exp(at @ slope))
        known.append(float(srgb_to_linear(np.array([float(value)]))[0]))
    return np.array(light).reshape(-1, 3), np.array(known), clipped


def _fit_curve(patches: NDArray[np.float64], known: NDArray[np.float64]) -> tuple[Floats, float]:
    """One tone curve for all channels and a gain for each, by least squares in logarithms; (256, 3) table.

    log light = a + b x + c x^2 + d x^3 - gain, x the log of the picture's linear light; a lower power where
    the higher one would not rise everywhere.
    """
    x, y = np.log(np.maximum(patches, 1e-4)), np.log(known)
    every = np.log(np.maximum(srgb_to_linear(np.arange(256.0)), 1e-4))
    low, high = float(x.min()), float(x.max())
    table = np.zeros((256, 3))
    fit = 0.0
    for power in (3, 2, 1):
        columns = [np.power(x, p).reshape(-1) for p in range(power + 1)]
        gains = [np.tile(np.eye(3)[c], len(x)) for c in (0, 2)]
        matrix = np.column_stack(columns + gains)
        target = np.repeat(y, 3)
        # a light pull of the bends to nothing keeps one odd patch from shaping the curve
        pull = np.zeros((power - 1, matrix.shape[1]))
        for row, p in enumerate(range(2, power + 1)):
            pull[row, p] = 0.15
        solution = np.linalg.lstsq(
            np.vstack([matrix, pull]), np.concatenate([target, np.zeros(power - 1)]), rcond=None
        )[0]
        curve, gain = solution[: power + 1], np.array([solution[-2], 0.0, solution[-1]])
        slope_at = np.linspace(low, high, 50)
        slope = sum(p * curve[p] * slope_at ** (p - 1) for p in range(1, power + 1))
        fit = float(np.sqrt(np.mean((matrix @ solution - target) ** 2)))
        if np.min(slope) > 0.2 or power == 1:
            table = np.exp(_extended(curve, every, low, high)[:, None] + gain)
            break
    table[0] = np.minimum(table[0], table[1])
    return np.clip(table, 0.0, 4.0).astype(np.float32), fit


def _extended(
    curve: NDArray[np.float64], x: NDArray[np.float64], low: float, high: float
) -> NDArray[np.float64]:
    """The curve between the patches, straight on beyond them."""
    powers = np.arange(len(curve))

    def slope(at: float) -> float:
        return float(np.clip(curve[1:] @ (powers[1:] * np.power(at, powers[1:] - 1)), 0.5, 2.5))

    inside = np.power(np.clip(x, low, high)[:, None], powers) @ curve
    beyond = np.where(x < low, slope(low) * (x - low), np.where(x > high, slope(high) * (x - high), 0.0))
    return np.asarray(inside + beyond)


def _grey_world(bgr: Picture, warning: str) -> Light:
    """Gains that make the brightest tenth of the picture white-ish: the background and fat are near grey."""
    step = max(1, max(bgr.shape[:2]) // 400)
    light = srgb_to_linear(bgr[::step, ::step].reshape(-1, 3).astype(float))
    level = light.mean(axis=1)
    bright = light[level >= np.percentile(level, 90)]
    white = np.maximum(np.median(bright, axis=0), 1e-3)
    balance = np.clip(white.mean() / white, 0.6, 1.6)
    top = float(np.percentile(level, 99))
    table = srgb_to_linear(np.arange(256.0))[:, None] * balance / max(top, 0.2)
    return Light(
        table=table.astype(np.float32),
        from_card=False,
        white=255 * float(top) ** (1 / 2.2),
        fit_share=float("nan"),
        warnings=(warning,),
    )
