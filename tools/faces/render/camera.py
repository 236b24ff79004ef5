"""The camera: from mm on the face to px of the picture, and filled shapes true to a fraction of a px."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from .arrays import Gray, Matrix, Points, Window, gray, points


@dataclass(frozen=True)
class Camera:
    """A pinhole camera over the face with slight lens distortion. Pixel centres at whole numbers."""

    projection: Matrix  # (3, 4): face mm (x, y, height over the face, 1) to px before distortion
    k1: float
    focal_px: float
    width: int
    height: int
    tilt_deg: float
    turn_deg: float
    distance_mm: float

    @property
    def homography(self) -> Matrix:
        """Face mm (x, y, 1) to px before distortion."""
        return self.projection[:, [0, 1, 3]]

    def to_px(self, at_mm: Points, raised_mm: float | Points = 0.0) -> Points:
        """Points of the face (n, 2) in mm, or points above it, to px of the picture."""
        raised = np.broadcast_to(points(raised_mm), (len(at_mm),))
        flat = np.column_stack([at_mm, raised, np.ones(len(at_mm))]) @ self.projection.T
        px = flat[:, :2] / flat[:, 2:]
        centre = points([(self.width - 1) / 2, (self.height - 1) / 2])
        away = (px - centre) / self.focal_px
        return points(centre + self.focal_px * away * (1 + self.k1 * (away**2).sum(axis=1))[:, None])

    def to_mm(self, at_px: Points) -> Points:
        """Px of the picture back to mm on the face."""
        centre = points([(self.width - 1) / 2, (self.height - 1) / 2])
        bent = (at_px - centre) / self.focal_px
        away = bent.copy()
        for _ in range(6):
            away = bent / (1 + self.k1 * (away**2).sum(axis=1))[:, None]
        flat = (
            np.column_stack([centre + self.focal_px * away, np.ones(len(at_px))])
            @ np.linalg.inv(self.homography).T
        )
        return points(flat[:, :2] / flat[:, 2:])

    def px_per_mm(self, at_mm: Points) -> float:
        """Scale about a point: the square root of the area of a mm² in px²."""
        square = self.to_px(at_mm + points([[0, 0], [1, 0], [0, 1]]))
        a, b = square[1] - square[0], square[2] - square[0]
        return math.sqrt(abs(float(a[0] * b[1] - a[1] * b[0])))


def place_camera(
    *, width: int, height: int, aim_mm: Points, px_per_mm: float, turn_deg: float, tilt_deg: float,
    tilt_towards_deg: float, focal_px: float, k1: float,
) -> Camera:  # fmt: skip
    """A camera that sees `aim_mm` in the middle at the given scale, turned about its axis and tilted."""
    distance = focal_px / px_per_mm
    a, tilt, towards = (math.radians(v) for v in (turn_deg, tilt_deg, tilt_towards_deg))
    spin = points([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]])
    axis = points([math.cos(towards), math.sin(towards), 0])
    lean = points(cv2.Rodrigues(axis * tilt)[0])
    turned = lean @ spin @ np.diag([1.0, -1.0, -1.0])  # picture y runs down
    shift = points([0, 0, distance]) - turned @ points([aim_mm[0], aim_mm[1], 0])
    lens = points([[focal_px, 0, (width - 1) / 2], [0, focal_px, (height - 1) / 2], [0, 0, 1]])
    projection = lens @ np.column_stack([turned, shift])
    return Camera(projection / projection[2, 3], k1, focal_px, width, height, tilt_deg, turn_deg, distance)


def window_of(outline_px: Points, width: int, height: int, margin: int = 2) -> Window | None:
    """The part of the picture that an outline touches, or None where it lies outside."""
    x0, y0 = np.floor(outline_px.min(axis=0)).astype(int) - margin
    x1, y1 = np.ceil(outline_px.max(axis=0)).astype(int) + margin + 1
    x0, y0, x1, y1 = max(int(x0), 0), max(int(y0), 0), min(int(x1), width), min(int(y1), height)
    return (x0, y0, x1, y1) if x1 > x0 and y1 > y0 else None


def coverage(outline_px: Points, window: Window) -> Gray:
    """How much of each pixel of the window lies inside the outline, 0 to 1."""
    x0, y0, x1, y1 = window
    area = (x1 - x0) * (y1 - y0)
    fine = 8 if area < 40_000 else 4 if area < 4_000_000 else 2
    mask = np.zeros(((y1 - y0) * fine, (x1 - x0) * fine), np.uint8)
    # the filled polygon takes in its border, about half a fine pixel too much: drawn from a shrunken outline
    shrunk = outline_px - _outward(outline_px) * (0.46 / fine)
    at = (shrunk - points([x0, y0]) + 0.5) * fine - 0.5
    cv2.fillPoly(mask, [np.round(np.clip(at, -30_000, 60_000) * 64).astype(np.int32)], 255, cv2.LINE_8, 6)
    small = cv2.resize(mask, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA)
    return gray(small) * np.float32(1 / 255)


def _outward(outline: Points) -> Points:
    """Unit normals out of a closed outline, whichever way it runs."""
    tangent = np.roll(outline, -1, axis=0) - np.roll(outline, 1, axis=0)
    tangent /= np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    x, y = outline[:, 0], outline[:, 1]
    way = np.sign(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    return points(np.stack([tangent[:, 1], -tangent[:, 0]], axis=1) * way)


def local_map(camera: Camera, grid_corners: Points, corners_mm: Points) -> Matrix:
    """The homography from a grid (its corners in grid px) to the picture, distortion taken in at the corners."""
    target = camera.to_px(corners_mm).astype(np.float32)
    return points(cv2.getPerspectiveTransform(grid_corners.astype(np.float32), target))
