"""The outline of the eye as every finder gives it, whoever found it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface import refuse
from gambrel.ribface.geometry import Points, area_mm2, longest_chord, resampled
from gambrel.ribface.network import View
from gambrel.ribface.plane import Picture, Plane
from gambrel.ribface.refuse import Reason, Refusal


@dataclass(frozen=True)
class Hints:
    """Which way the chine and the outside lie in the picture: vectors (2,), their length 0 to 1 how sure; and what
    the network saw close up.
    """

    to_chine_px: Points
    outward_px: Points
    view: View


@dataclass(frozen=True)
class EyeOutline:
    """The eye: `polygon_px` (n, 2) in the picture given, and 0 to 1 how sure the finder is.

    `doubt_px`: how wide the rim is, in pixels of the finder's map, in which eye is not told from what lies beside it;
    0 where the finder does not say.
    """

    polygon_px: Points
    confidence: float
    by: str
    hints: Hints | None = None
    doubt_px: float = 0.0


OutlineFinder = Callable[[Picture, Plane | None, tuple[float, float] | None], EyeOutline | Refusal]
"""Takes an upright picture (H, W, 3), the plane or None, and a point inside the eye or None."""


def check_outline(outline: EyeOutline, shape: tuple[int, ...], plane: Plane | None) -> Refusal | None:
    """Whether the outline can be that of a whole rib eye in a picture of `shape` (H, W, ...)."""
    high, wide = shape[:2]
    polygon = outline.polygon_px
    if to_frame_px(polygon, shape) < refuse.FRAME_MARGIN_SHARE * max(high, wide):
        return Refusal(Reason.EYE_CUT_OFF, "its outline touches the edge of the picture")
    if _along_frame(polygon, shape) > refuse.ALONG_FRAME_LIMIT:
        return Refusal(Reason.EYE_CUT_OFF, "its outline runs along the edge of the picture")
    hull = cv2.convexHull(polygon.astype(np.float32)).reshape(-1, 2).astype(float)
    solid = area_mm2(polygon) / max(area_mm2(hull), 1e-9)
    if solid < refuse.EYE_SOLID_SHARE:
        return Refusal(Reason.UNREADABLE, f"an outline that fills {100 * solid:.0f} % of its own hull")
    flat = polygon if plane is None else plane.to_mm(polygon)
    axis = longest_chord(flat)
    across = axis.width_mm / axis.length_mm
    if not refuse.EYE_ACROSS_SHARE[0] <= across <= refuse.EYE_ACROSS_SHARE[1]:
        return Refusal(Reason.NOT_A_RIB_FACE, f"an outline {across:.2f} times as wide as long")
    if plane is not None:
        area_cm2 = area_mm2(flat) / 100
        if not refuse.EYE_AREA_CM2[0] <= area_cm2 <= refuse.EYE_AREA_CM2[1]:
            return Refusal(Reason.NOT_A_RIB_FACE, f"an outline of {area_cm2:.0f} cm2")
    return None


def to_frame_px(polygon: Points, shape: tuple[int, ...]) -> float:
    """Least distance of the polygon's corners (n, 2) from the frame of a picture (H, W, ...) [px]; below 0 beyond."""
    low, top = polygon.min(axis=0), polygon.max(axis=0)
    return float(min(low.min(), shape[1] - 1 - top[0], shape[0] - 1 - top[1]))


def _along_frame(polygon: Points, shape: tuple[int, ...]) -> float:
    """Share of the outline that lies close to the frame."""
    near = refuse.ALONG_FRAME_SHARE * max(shape[:2])
    x, y = resampled(polygon, 240).T
    return float(np.mean(np.minimum(np.minimum(x, shape[1] - 1 - x), np.minimum(y, shape[0] - 1 - y)) < near))


def filled(polygon: Points, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Mask (H, W) of the pixels whose centres lie inside a polygon (n, 2) in px, edges to a 16th of a px."""
    mask = np.zeros(shape, dtype=np.uint8)
    cv2.fillPoly(mask, [np.round(polygon * 16).astype(np.int32)], 1, shift=4)
    return mask > 0


def overlap(first: NDArray[np.bool_], second: NDArray[np.bool_]) -> float:
    """Intersection over union of two masks, 0 to 1."""
    union = int(np.count_nonzero(first | second))
    return float(np.count_nonzero(first & second)) / union if union else 1.0
