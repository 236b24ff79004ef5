"""The eye found by colour and shape alone: the floor that any other finder has to beat.

Lean against fat by lightness, seams by the distance from fat, muscles taken apart at their necks, the edge made smooth.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface import refuse
from gambrel.ribface.geometry import Points, resampled
from gambrel.ribface.light import linear_to_lab, srgb_to_linear
from gambrel.ribface.outline import EyeOutline, filled
from gambrel.ribface.plane import CARD_MM, Picture, Plane
from gambrel.ribface.refuse import Reason, Refusal

Mask = NDArray[np.bool_]

AROUND_CARD_MM = 260.0
"""How far from the card the eye may lie."""

WORK_PX_PER_MM = 1.0
ACROSS_WITHOUT_SCALE_PX = 320
"""Without a scale the picture is worked at this length, and the face is taken to be 250 mm across."""

USUAL_FACE_MM = 250.0

NECK_MM = 6.0
"""Muscles that touch in a neck less than twice this wide are taken apart."""

PALE_RIM_SHARE = 0.25
"""Least share of an eye's rim that is paler than it: fat and seams lie round an eye, not round a hand."""


def find_eye_classic(
    bgr: Picture, plane: Plane | None, seed: tuple[float, float] | None
) -> EyeOutline | Refusal:
    """The eye's outline in picture px by colour and depth, or a refusal."""
    small, matrix, px_per_mm = _small(bgr, plane)
    inside = None if seed is None else _through(matrix, np.array([seed]))[0]
    mask = _eye_mask(small, px_per_mm, inside)
    if mask is None:
        return Refusal(Reason.NOT_A_RIB_FACE, "no red muscle of the size of an eye")
    contour = _smooth_contour(mask, px_per_mm)
    back = _through(np.asarray(np.linalg.inv(matrix), dtype=np.float64), contour)
    return EyeOutline(polygon_px=back, confidence=0.5, by="colour and depth")


def _small(bgr: Picture, plane: Plane | None) -> tuple[Picture, NDArray[np.float64], float]:
    """A small picture of the face, the (3, 3) matrix that leads to its px, and its scale [px per mm]."""
    if plane is None:
        factor = ACROSS_WITHOUT_SCALE_PX / max(bgr.shape[:2])
        small = cv2.resize(bgr, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
        fx, fy = small.shape[1] / bgr.shape[1], small.shape[0] / bgr.shape[0]
        matrix = np.array([[fx, 0, (fx - 1) / 2], [0, fy, (fy - 1) / 2], [0, 0, 1.0]])
        return np.asarray(small, dtype=np.uint8), matrix, ACROSS_WITHOUT_SCALE_PX / USUAL_FACE_MM
    high, wide = bgr.shape[:2]
    frame = plane.to_mm(np.array([[0, 0], [wide - 1, 0], [wide - 1, high - 1], [0, high - 1.0]]))
    low = np.maximum(frame.min(axis=0), -AROUND_CARD_MM)
    top = np.minimum(frame.max(axis=0), np.array(CARD_MM) + AROUND_CARD_MM)
    window = (float(low[0]), float(low[1]), float(top[0]), float(top[1]))
    small, matrix = plane.rectify(bgr, px_per_mm=WORK_PX_PER_MM, window_mm=window)
    return small, matrix, WORK_PX_PER_MM


def _eye_mask(small: Picture, px_per_mm: float, seed: Points | None) -> Mask | None:
    """Mask of the muscle that is most like an eye, or that holds the seed."""
    lab = linear_to_lab(srgb_to_linear(cv2.GaussianBlur(small, (0, 0), 1.2 * px_per_mm).astype(float)))
    lean = _lean(lab)
    lean = _holes_closed(lean, int(150 * px_per_mm**2))
    depth = cv2.distanceTransform(lean.astype(np.uint8), cv2.DIST_L2, 5).astype(np.float32) / np.float32(
        px_per_mm
    )
    muscles = _muscles(lean, depth, px_per_mm)
    number = _choose(muscles, depth, lab[..., 0], px_per_mm, seed)
    if number is None:
        return None
    reach = 2 * max(1, round(4 * px_per_mm)) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    mask = cv2.morphologyEx((muscles == number).astype(np.uint8), cv2.MORPH_OPEN, disc)
    count, parts, stats, _ = cv2.connectedComponentsWithStats(mask)
    if count < 2:
        return None
    return _holes_closed(parts == 1 + int(stats[1:, cv2.CC_STAT_AREA].argmax()), mask.size)


def _lean(lab: NDArray[np.float32]) -> Mask:
    """Red and darker than half-way to fat."""
    red = (lab[..., 1] > 7) & (lab[..., 0] > 6)
    if int(red.sum()) < 50:
        return red
    level = np.clip(lab[..., 0][red] * 2.55, 0, 255).astype(np.uint8)
    half, _ = cv2.threshold(level.reshape(-1, 1), 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    return np.asarray(red & (lab[..., 0] < half / 2.55))


def _holes_closed(mask: Mask, largest_px: int) -> Mask:
    """The mask with holes up to a size filled: marbling is part of the eye."""
    count, parts, stats, _ = cv2.connectedComponentsWithStats((~mask).astype(np.uint8), connectivity=4)
    high, wide = mask.shape
    filled_in = mask.copy()
    for number in range(1, count):
        x, y, w, h, area = stats[number]
        if area <= largest_px and x > 0 and y > 0 and x + w < wide and y + h < high:
            filled_in[parts == number] = True
    return filled_in


def _muscles(lean: Mask, depth: NDArray[np.float32], px_per_mm: float) -> NDArray[np.int32]:
    """Lean split into muscles (0: none) where it necks: each deep core, grown back by the depth it was cut at."""
    _, cores = cv2.connectedComponents((depth > NECK_MM).astype(np.uint8))
    reach = 2 * round(NECK_MM * px_per_mm) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    # a pixel near two cores goes to the deeper one, for that is numbered last
    order = sorted(range(1, int(cores.max()) + 1), key=lambda k: float(depth[cores == k].max()))
    muscles = np.zeros(lean.shape, dtype=np.int32)
    for number, core in enumerate(order, start=1):
        grown = cv2.dilate((cores == core).astype(np.uint8), disc) > 0
        muscles[grown & lean] = number
    return muscles


def _choose(
    muscles: NDArray[np.int32],
    depth: NDArray[np.float32],
    lightness: NDArray[np.float32],
    px_per_mm: float,
    seed: Points | None,
) -> int | None:
    """The muscle that holds the seed, or the one most like an eye: deep, solid, with fat all round."""
    high, wide = muscles.shape
    if seed is not None:
        x, y = np.clip(np.round(seed).astype(int), 0, [wide - 1, high - 1])
        near = muscles[max(0, y - 3) : y + 4, max(0, x - 3) : x + 4]
        held = near[near > 0]
        return int(np.bincount(held).argmax()) if held.size else None
    best: tuple[float, int] | None = None
    reach = 2 * round(4 * px_per_mm) + 1
    for number in range(1, int(muscles.max()) + 1):
        part = muscles == number
        area_cm2 = float(part.sum()) / px_per_mm**2 / 100
        if not refuse.EYE_AREA_CM2[0] * 0.7 <= area_cm2 <= refuse.EYE_AREA_CM2[1] * 1.2:
            continue
        rim = (cv2.dilate(part.astype(np.uint8), np.ones((reach, reach), np.uint8)) > 0) & ~part
        pale = float(np.mean(lightness[rim] > np.median(lightness[part]) + 12))
        rows, columns = np.nonzero(part)
        hull = cv2.contourArea(cv2.convexHull(np.column_stack([columns, rows]).astype(np.float32)))
        solid = float(part.sum()) / max(hull, 1.0)
        score = float(depth[part].max()) * solid**2 * pale
        if pale > PALE_RIM_SHARE and (best is None or score > best[0]):
            best = (score, number)
    return None if best is None else best[1]


def _smooth_contour(mask: Mask, px_per_mm: float) -> Points:
    """The edge of the mask as 240 corners, smoothed over about 2 mm, its area kept."""
    contours, _ = cv2.findContours(mask.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    longest = max(contours, key=len).reshape(-1, 2).astype(float)
    corners = resampled(longest, 240)
    step = np.hypot(*(corners[1] - corners[0])) / px_per_mm
    width = max(0.5, 2.0 / max(step, 1e-6))
    reach = int(3 * width) + 1
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / width) ** 2)
    kernel /= kernel.sum()
    wrapped = np.vstack([corners[-reach:], corners, corners[:reach]])
    smooth = np.column_stack([np.convolve(wrapped[:, k], kernel, mode="valid") for k in (0, 1)])
    area, wanted = float(filled(smooth, mask.shape).sum()), float(mask.sum())
    middle = smooth.mean(axis=0)
    return np.asarray(middle + (smooth - middle) * np.sqrt(wanted / max(area, 1.0)))


def _through(matrix: NDArray[np.float64], points: Points) -> Points:
    lifted = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(lifted[:, :2] / lifted[:, 2:])
