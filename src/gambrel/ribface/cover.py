"""The cover fat beside the eye: its colour, its side, its outer surface.

Works on the face seen square on, in Lab. Rays run square from the eye's long axis outwards on both sides.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.geometry import Axis, Points, last_crossings

Floats = NDArray[np.float32]

REACH_MM = 48.0
"""How far beyond the eye's edge the rays look."""

STEP_MM = 0.25
ROW_OF_POINTS = 512
"""Points are looked up in rows: OpenCV takes no array of more than 32,767 rows."""

HINT_WORTH = 0.5
"""What a sure hint of the outside counts against what is seen beside the eye. Set on rendered faces."""

SURE_MARGIN = 0.6
"""Sides nearer to each other than this, where the finder's classes gave no surface: fat is then not measured rather
than on the wrong side. Set on rendered faces."""

RAYS_AT_SHARE = np.linspace(0.12, 0.92, 41)


@dataclass(frozen=True)
class Face:
    """The face seen square on: Lab (H, W, 3), where its first pixel lies on the plane [mm], and its scale."""

    lab: Floats
    left_mm: float
    top_mm: float
    px_per_mm: float

    def at(self, points_mm: Points) -> Floats:
        """Lab at points (..., 2) [mm]; beyond the picture the value is not a number."""
        places = (np.asarray(points_mm) - (self.left_mm, self.top_mm)) * self.px_per_mm
        count = places.size // 2
        rows = -(-count // ROW_OF_POINTS)
        listed = np.zeros((rows * ROW_OF_POINTS, 2), np.float32)
        listed[:count] = places.reshape(-1, 2)
        flat = listed.reshape(rows, ROW_OF_POINTS, 2)
        seen = cv2.remap(
            self.lab,
            flat[..., 0],
            flat[..., 1],
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=(np.nan, np.nan, np.nan),
        )
        return np.asarray(seen, dtype=np.float32).reshape(-1, 3)[:count].reshape(*places.shape[:-1], 3)


@dataclass(frozen=True)
class Cover:
    """The outer surface of the cover fat (n, 2) [mm], from the axis' start on, and how sure it is.

    `side` is 1 where the fat lies on the side of `axis.across`, -1 where it lies on the other.
    """

    side: int
    surface_mm: Points
    spread_mm: float
    side_margin: float


def fat_beside(face: Face, polygon_mm: Points, lean_lab: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Lab of the fat in a narrow ring round the eye (3,), or None where there is too little."""
    middle = polygon_mm.mean(axis=0)
    away = polygon_mm - middle
    away /= np.maximum(np.hypot(*away.T), 1e-6)[:, None]
    ring = np.concatenate([face.at(polygon_mm + away * reach) for reach in (1.2, 1.8, 2.5, 3.2)])
    ring = ring[np.isfinite(ring[:, 0])]
    pale = ring[ring[:, 0] > lean_lab[0] + 18]
    if len(pale) < 0.06 * len(ring) or len(pale) < 12:
        return None
    bright = pale[pale[:, 0] >= np.percentile(pale[:, 0], 30)]
    return np.asarray(np.median(bright, axis=0), dtype=np.float64)


def find_cover(
    face: Face,
    polygon_mm: Points,
    axis: Axis,
    *,
    lean_lab: NDArray[np.float64],
    fat_lab: NDArray[np.float64],
    outward: Points | None = None,
) -> Cover | None:
    """The side with the cover fat and its surface, or None where no surface is seen on either side.

    `outward` (2,) [mm] points outside by the finder's hint; its length, 0 to 1, says how sure that is.
    """
    sides = []
    origins = axis.start + RAYS_AT_SHARE[:, None] * (axis.end - axis.start)
    for side in (1, -1):
        points, start = rays(polygon_mm, origins, np.broadcast_to(axis.across * side, origins.shape))
        sides.append((side, *_read_profiles(face.at(points), lean_lab, fat_lab), start))
    hint = 0.0 if outward is None else HINT_WORTH * float(outward @ axis.across)
    scores = [score + side * hint for side, _, score, _ in sides]
    best = int(np.argmax(scores))
    side, depth, score, start = sides[best]
    surface = _surface(axis, side, depth, start)
    if surface is None:
        return None
    line, spread = surface
    return Cover(side, line, spread, float(score - scores[1 - best]))


def rays(polygon_mm: Points, origins: Points, ways: Points) -> tuple[Points, Points]:
    """Points (rays, steps, 2) [mm] from the eye's edge out, and how far from their origins (rays, 2) they start.

    `ways` (rays, 2) are unit vectors.
    """
    start = last_crossings(polygon_mm, origins, ways)
    start[np.isinf(start)] = 0.0
    reach = np.arange(0, REACH_MM, STEP_MM)
    return origins[:, None, :] + (start[:, None] + reach[None, :])[..., None] * ways[:, None, :], start


def _read_profiles(
    profiles: Floats, lean_lab: NDArray[np.float64], fat_lab: NDArray[np.float64]
) -> tuple[Points, float]:
    """Depth of the fat on each ray [mm, nan where none], and how like an outside the side is."""
    step = fat_lab - lean_lab
    lightness = (profiles[..., 0] - lean_lab[0]) / max(step[0], 10.0)
    tint = np.hypot(profiles[..., 1] - fat_lab[1], profiles[..., 2] - fat_lab[2])
    fat = (lightness > 0.55) & (tint < 22)
    meat = fat | ((profiles[..., 1] > 0.55 * lean_lab[1]) & (lightness > -0.25))
    depth = np.array([_fat_depth(row, profile) for row, profile in zip(fat, profiles, strict=True)])
    far = slice(round(14 / STEP_MM), round(36 / STEP_MM))
    beyond = float(np.mean(meat[:, far]))
    seen = np.isfinite(profiles[:, far, 0])
    hidden = 1 - float(np.mean(seen))
    near = float(np.mean(fat[:, round(0.8 / STEP_MM) : round(2.5 / STEP_MM)]))
    return depth, near - beyond - 0.5 * hidden + 0.3 * float(np.mean(np.isfinite(depth)))


def _fat_depth(fat: NDArray[np.bool_], profile: Floats) -> float:
    """Where the first run of fat ends for good [mm], to a part of a step; nan where no run is seen."""
    skip = round(2.0 / STEP_MM)
    gap = round(2.0 / STEP_MM)
    starts = np.flatnonzero(fat[: 3 * skip])
    if not starts.size:
        return float("nan")
    last = int(starts[0])
    while True:
        ahead = np.flatnonzero(fat[last + 1 : last + 1 + gap])
        if not ahead.size:
            break
        last += 1 + int(ahead[-1])
    if last + gap >= len(fat) or last < 2:
        return float("nan")
    return _half_way(profile, last) * STEP_MM


def _half_way(profile: Floats, last: int) -> float:
    """Place of the edge near `last` in steps: half-way in colour between just inside and just outside."""
    reach = round(1.2 / STEP_MM)
    inside = profile[max(0, last - 2 * reach) : max(1, last - 1)]
    outside = profile[last + reach : last + 2 * reach]
    inner, outer = np.median(inside, axis=0), np.median(outside, axis=0)
    turn = outer - inner
    size = float(turn @ turn)
    if not np.isfinite(size) or size < 36:
        return float(last)
    window = slice(max(0, last - reach), last + reach + 1)
    level = (profile[window] - inner) @ turn / size
    passed = np.flatnonzero(level >= 0.5)
    if not passed.size or passed[0] == 0:
        return float(last)
    k = int(passed[0])
    part = (0.5 - level[k - 1]) / max(float(level[k] - level[k - 1]), 1e-6)
    return float(window.start + k - 1 + part)


def _surface(axis: Axis, side: int, depth: Points, start: Points) -> tuple[Points, float] | None:
    """A smooth line through the rays' ends, and its spread [mm]."""
    good = np.isfinite(depth)
    if good.sum() < 8:
        return None
    share, height = RAYS_AT_SHARE[good], (depth + start)[good]
    weight = np.ones(len(share))
    power = 3 if good.sum() > 20 else 2
    curve = np.zeros(power + 1)
    for _ in range(12):
        curve = np.polyfit(share, height, power, w=weight)
        gap = height - np.polyval(curve, share)
        scale = max(0.25, 1.5 * float(np.median(np.abs(gap))))
        weight = 1.0 / (1.0 + (gap / scale) ** 2)
    kept = np.abs(height - np.polyval(curve, share)) < 3 * scale
    if kept.sum() < 8:
        return None
    at = np.linspace(share[kept].min() - 0.03, share[kept].max() + 0.03, 161)
    level = np.polyval(curve, at)
    line = axis.start + at[:, None] * (axis.end - axis.start) + level[:, None] * axis.across * side
    spread = float(np.median(np.abs(height - np.polyval(curve, share))[kept]))
    return line, spread
