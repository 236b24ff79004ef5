"""The outer surface of the cover by the network's classes: where meat ends, card and hands left out.

Colour alone takes a cap muscle for the end of the fat, or a pale table for more of it; the classes do not. Rays run
square to the eye's axis between the two places from which fat may be measured, and fan out from these round the ends:
the place on the surface that is nearest to them may lie well beyond the end of the eye.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.cover import STEP_MM, Cover, rays
from gambrel.ribface.geometry import FAT_LINE_AT_SHARE, Axis, Points
from gambrel.ribface.network import BACKGROUND, CARD, HAND, View
from gambrel.ribface.plane import Plane

STAYS_OUT_MM = 3.0
"""Beyond the surface nothing but background for so far; a narrower gap is a tear or a shadow."""

SMOOTH_RAYS = 1.2
LEAST_RAYS = 8
SQUARE_AT_SHARE = np.linspace(1 - FAT_LINE_AT_SHARE, FAT_LINE_AT_SHARE, 26)
FAN_DEG = np.linspace(3.0, 51.0, 17)
"""How far from square the rays of a fan lean towards their end of the eye; more, and they pass under the tail."""

SURE_WAY = 0.8
"""A hint of the outside weaker than this, square to the eye's length, leaves open on which side the cover lies: fat
is then not measured rather than measured on the wrong side. Set on rendered faces."""


def side_is_sure(axis: Axis, outward: Points) -> bool:
    """Whether `outward` (2,), its length how sure, says on which side of the axis the cover lies."""
    return abs(float(outward @ axis.across)) >= SURE_WAY


def cover_by_classes(
    view: View, plane: Plane, polygon_mm: Points, axis: Axis, outward: Points
) -> Cover | None:
    """The cover's surface on the side to which `outward` (2,) [mm] points, or None where it is not seen."""
    if not side_is_sure(axis, outward):
        return None
    lean = float(outward @ axis.across)
    side = 1 if lean > 0 else -1
    origins, ways = _fans(axis, side)
    points, start = rays(polygon_mm, origins, ways)
    out, covered = _classes(view, plane, points)
    depth = _end_of_meat(out, covered)
    seen = np.isfinite(depth)
    if np.count_nonzero(seen) < LEAST_RAYS:
        return None
    height = (depth + start)[seen]
    smooth = _smooth(height)
    line = origins[seen] + smooth[:, None] * ways[seen]
    return Cover(side, line, float(np.median(np.abs(height - smooth))), abs(lean))


def _fans(axis: Axis, side: int) -> tuple[Points, Points]:
    """Where the rays begin on the axis (rays, 2) [mm], and their unit vectors, from the axis' start on."""
    lean = np.radians(np.concatenate([-FAN_DEG[::-1], np.zeros(len(SQUARE_AT_SHARE)), FAN_DEG]))
    share = np.pad(SQUARE_AT_SHARE, len(FAN_DEG), mode="edge")
    ways = np.sin(lean)[:, None] * axis.along + np.cos(lean)[:, None] * axis.across * side
    return axis.start + share[:, None] * (axis.end - axis.start), ways


def _classes(
    view: View, plane: Plane, points_mm: NDArray[np.float64]
) -> tuple[NDArray[np.float32], NDArray[np.bool_]]:
    """Likelihood of background along the rays (rays, steps), nan off the map; and whether card or hand hides it."""
    places = view.to_maps(plane.to_px(points_mm.reshape(-1, 2))).astype(np.float32)
    x, y = (places[:, k].reshape(points_mm.shape[:2]) for k in (0, 1))

    def at(number: int) -> NDArray[np.float32]:
        return np.asarray(
            cv2.remap(view.maps[number], x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT,
                      borderValue=(np.nan,)), np.float32)  # fmt: skip

    return at(BACKGROUND), at(CARD) + at(HAND) > 0.5


def _end_of_meat(out: NDArray[np.float32], covered: NDArray[np.bool_]) -> Points:
    """Where background begins for good on each ray [mm], to a part of a step; nan where it is hidden or off the map."""
    stays = round(STAYS_OUT_MM / STEP_MM)
    beyond_end = np.pad(out, ((0, 0), (0, stays - 1)), constant_values=np.nan)
    ahead = np.lib.stride_tricks.sliding_window_view(beyond_end, stays, axis=1)
    known, for_good = (np.asarray(each.all(axis=2)) for each in (np.isfinite(ahead), ahead > 0.5))
    told = (out > 0.5) & (for_good | ~known)  # the first of these says where, or that it is not known
    ray, first = np.arange(len(out)), told.argmax(axis=1)
    hidden = covered.any(axis=1) & (covered.argmax(axis=1) <= first)
    at, before = out[ray, first].astype(np.float64), out[ray, first - 1].astype(np.float64)
    part = (0.5 - before) / np.maximum(at - before, 1e-6)
    depth = np.where(first > 0, first - 1 + part, 0.0) * STEP_MM
    return np.where(for_good[ray, first] & ~hidden, depth, np.nan)


def _smooth(height: Points) -> Points:
    """A running middle of three against single rays gone astray, then a soft mean along the surface."""
    padded = np.pad(height, 1, mode="edge")
    middle = np.median(np.stack([padded[:-2], padded[1:-1], padded[2:]]), axis=0)
    reach = int(3 * SMOOTH_RAYS) + 1
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / SMOOTH_RAYS) ** 2)
    mirrored = np.pad(middle, reach, mode="reflect", reflect_type="odd")
    return np.asarray(np.convolve(mirrored, kernel / kernel.sum(), mode="valid"))
